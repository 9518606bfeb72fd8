// What `explain` shows as an example can be written as it stands.
#include <gtest/gtest.h>

#include <set>
#include <string>

#include "helper_language.hpp"
#include "resolve/resolve.hpp"
#include "syntax/tree.hpp"

namespace ferrule::tables {
namespace {

using graph::Kind;
using graph::Property;
using tests::Language;

class OneFile : public resolve::Loader {
public:
    OneFile(const text::Sources& sources, text::FileId file) : tree_(syntax::parse(sources, file)) {}
    std::variant<text::FileId, std::string> include(text::FileId, std::string_view) override { return std::string("no files here"); }
    const syntax::Tree& tree(text::FileId) override { return tree_; }

private:
    syntax::Tree tree_;
};

struct Checked {
    text::Sources sources;
    std::vector<findings::Finding> tree, design;
    explicit Checked(const std::string& text) {
        const bool has_site = text.starts_with("site ");
        const text::FileId file = sources.add("example.fer", (has_site ? "edition 1\n" : "edition 1\nsite \"X\" {}\n") + text);
        OneFile loader(sources, file);
        tree = loader.tree(file).findings;
        const Language& l = Language::get();
        design = resolve::resolve(sources, loader, file, l.kinds, l.units).findings;
    }
    [[nodiscard]] std::string told(const std::vector<findings::Finding>& list) const {
        std::string all;
        for (const findings::Finding& f : list) {
            all += f.rule + ": " + f.message + " at `" + std::string(sources.text(f.span)) + "`\n";
        }
        return all;
    }
};

TEST(Examples, OfKindsAreWholeAndRight) {
    for (const Kind& k : Language::get().kinds.all()) {
        const Checked c(k.example);
        EXPECT_EQ(c.told(c.tree) + c.told(c.design), "") << k.group << " " << k.name << "\n" << k.example;
    }
}

TEST(Examples, OfStatementsCanBeRead) {
    for (const graph::StatementText& s : Language::get().kinds.statements) {
        if (s.name == "edition") continue;
        const Checked c(s.example);
        EXPECT_EQ(c.told(c.tree), "") << s.name << "\n" << s.example;
    }
}

// The block that a property of this kind stands in, with what must be there besides.
std::string inside(const Kind& k, const Property& p, const std::string& line) {
    std::string needed;
    for (const Property& other : k.properties) {
        if (other.needed && other.name != p.name) needed += other.example + "\n";
    }
    const std::string block = "{\n" + needed + line + "\n}\n";
    if (k.group == "part") return "part X is " + k.name + " " + block;
    if (k.group == "role") return "part X is inverter {\nport p is " + k.name + " " + block + "}\n";
    const std::string box = "part BX is box { ingress IP65 }\n";
    if (k.name == "site") return "site \"X\" " + block;
    if (k.name == "string") return "part PM is module { voc 41 V; isc 13 A }\nstring X is 2 x PM " + block;
    if (k.name == "device") return "part SW is isolator { pole 1-2; pole 3-4; pole 5-6; pole 7-8 }\ndevice X is SW " + block;
    if (k.name == "label") return box + "enclosure B is BX\nlabel \"X\" on B " + block;
    if (k.name == "steps") return "steps \"X\" " + block;
    if (k.name == "accept") return "accept x.y " + (p.name == "because" ? block : "because \"y\" " + block);
    return k.name + " X " + block;
}

// Names in a single line are declared elsewhere; its words, units and shape must hold.
TEST(Examples, OfPropertiesHaveTheirShape) {
    const std::set<std::string> about_names = {"design.unknown-name", "design.unknown-terminal", "design.unknown-entry", "design.position",
                                               "design.wrong-kind",   "design.range"};
    for (const Kind& k : Language::get().kinds.all()) {
        if (k.name == "reading") continue;  // its lines begin with a thing
        for (const Property& p : k.properties) {
            const Checked c(inside(k, p, p.example));
            EXPECT_EQ(c.told(c.tree), "") << k.name << ": " << p.example;
            for (const findings::Finding& f : c.design) {
                EXPECT_TRUE(about_names.contains(f.rule)) << k.name << ": " << p.example << "\n" << f.rule << ": " << f.message;
            }
        }
    }
}

}  // namespace
}  // namespace ferrule::tables

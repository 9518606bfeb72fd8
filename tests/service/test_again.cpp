// A design that is checked after edits, with what is kept of the check before, comes out as one that is checked for the first time:
// every finding, every fact with its working and what it lacks, and every place.
#include <stdlib.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "project/amend.hpp"
#include "project/values.hpp"
#include "service/workspace.hpp"
#include "support/house_rule.hpp"
#include "support/turns.hpp"
#include "syntax/helper_tree.hpp"

namespace ferrule::service {
namespace {

namespace fs = std::filesystem;
using Lines = std::vector<std::string>;

class Day final : public base::Clock {
public:
    [[nodiscard]] base::Date today() const override { return {2026, 11, 25}; }
};
const Day day;

std::vector<fs::path> designs() {
    std::vector<fs::path> all;
    for (const char* folder : {"/examples", "/examples/wrong", "/tests/planted", "/tests/designs"}) {
        for (const auto& e : fs::recursive_directory_iterator(FERRULE_SOURCE_DIR + std::string(folder))) {
            if (e.path().extension() == ".fer") all.push_back(e.path());
        }
    }
    std::sort(all.begin(), all.end());
    all.erase(std::unique(all.begin(), all.end()), all.end());
    return all;
}

std::string read(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::stringstream all;
    all << in.rdbuf();
    return all.str();
}

std::string at(text::Span s) { return fmt::format("{}:{}-{}", s.file.value, s.begin, s.end); }

void add(Lines& out, const findings::Finding& f) {
    out.push_back(fmt::format("{} {} {} {} {} x{} {} / {}", f.rule, findings::word(f.severity), at(f.span), f.subject, f.message, f.count, fmt::join(f.more, ","), f.remedy));
    for (const auto& r : f.related) out.push_back(fmt::format("  {} {}", at(r.span), r.message));
    for (const auto& e : f.edits) out.push_back(fmt::format("  edit {} {} {}", at(e.span), e.text, e.certain));
    for (const auto& c : f.sources) out.push_back(fmt::format("  {} {} {}", c.standard, c.clause, c.status));
    for (const auto& line : f.working) out.push_back("  " + line);
    for (const auto& line : f.assumed) out.push_back("  assumed " + line);
    if (f.accepted) out.push_back(fmt::format("  accepted {} {} {} {}", f.accepted->reason, f.accepted->by, f.accepted->until, at(f.accepted->span)));
}

void add(Lines& out, const facts::Facts& facts, const units::Units& units) {
    for (const facts::Table& t : facts.tables) {
        for (std::uint32_t row = 0; row < t.rows; ++row) {
            const std::string of = fmt::format("{} {}", t.subject, t.name ? t.name(row) : std::to_string(row));
            out.push_back(fmt::format("{} at {} thing {} circuit {}", of, t.place ? at(t.place(row)) : "", t.thing ? t.thing(row) : 0, t.circuit ? t.circuit(row) : 0));
            for (const facts::Column& c : t.columns) {
                const render::Value v = project::value(facts, c, row, units);
                out.push_back(fmt::format("{} {} = {} {} {} {}", of, c.name, static_cast<int>(v.type), v.shown, v.flag, fmt::join(v.names, ",")));
                if (c.type == facts::Type::number && row < c.numbers.size()) out.push_back(fmt::format("  {}", c.numbers[row]));
                if (v.type == render::Value::Type::unknown && c.missing) {
                    const facts::Missing m = c.missing(row);
                    out.push_back(fmt::format("  lacks {} {}", m.what, at(m.where)));
                }
                if (c.working && v.type != render::Value::Type::unknown) {
                    for (const std::string& line : c.working(row)) out.push_back("  " + line);
                }
                if (c.rests_on) {
                    for (const auto& r : c.rests_on(row)) out.push_back(fmt::format("  rests on {} {}", at(r.span), r.message));
                }
            }
        }
    }
}

// All that a design says; the values of its facts only if they are asked for.
Lines all_of(const Design& d, bool with_facts) {
    Lines out;
    for (const findings::Finding& f : d.report.findings) add(out, f);
    for (const findings::Undecided& u : d.report.undecided) out.push_back(fmt::format("undecided {} {} {} {} x{}", u.rule, u.subject, u.missing, at(u.span), u.count));
    const findings::Summary& s = d.report.summary;
    out.push_back(fmt::format("{} {} {} {} {} {} {} {}", s.errors, s.warnings, s.notes, s.accepted, s.undecided, s.rules, s.devices, s.conductors));
    for (const resolve::Use& use : d.uses()) out.push_back(fmt::format("use {} {}", at(use.at), at(use.declared)));
    if (with_facts && d.graph().conductors.size() < 200) add(out, d.study->facts, d.known->knowledge.units);
    return out;
}

class Editor {
public:
    explicit Editor(std::string path) : path_(std::move(path)), here_(base::disk(), day), fresh_(base::disk(), day) {}

    void open(const std::string& text) { here_.open(path_, text); }
    // The first line in which the two differ; "" if they are the same.
    std::string change(const std::string& text, bool with_facts) {
        here_.change(path_, text);
        (void)here_.refresh();
        here_.forget_old();
        fresh_.open(path_, text);
        (void)fresh_.refresh();
        const auto now = here_.designs(), anew = fresh_.designs();
        std::string trouble;
        if (now.size() != anew.size()) trouble = "designs";
        for (std::size_t i = 0; trouble.empty() && i < now.size(); ++i) {
            const Lines a = all_of(*now[i], with_facts), b = all_of(*anew[i], with_facts);
            const auto differ = std::mismatch(a.begin(), a.end(), b.begin(), b.end());
            if (differ.first != a.end() || differ.second != b.end()) {
                trouble = fmt::format("has  {}\nanew {}", differ.first == a.end() ? "" : *differ.first, differ.second == b.end() ? "" : *differ.second);
            }
        }
        fresh_.close(path_);
        return trouble;
    }

private:
    std::string path_;
    Workspace here_, fresh_;
};

// What is typed most: a number, a blank, a comment, a line; and anything else.
std::string typed(std::string text, syntax::Dice& next) {
    const std::size_t place = next(text.size() + 1);
    const auto number = text.find_first_of("0123456789", place);
    const auto line = std::min(text.find('\n', place), text.size());
    static constexpr std::string_view strokes[] = {" ", "\n", "9", "}", "{", "\"", "->", "#", ";", "device Q9 is", " 3 m", "(", "\xCE\xA9", "EAST.+ -> Q1.1\n"};
    switch (next(9)) {
        case 0:
        case 1:
        case 2:
            if (number != std::string::npos) text.insert(number + next(2), 1, static_cast<char>('0' + next(10)));
            return text;
        case 3:
            if (number != std::string::npos) text.erase(number, 1);
            return text;
        case 4: return text.insert(line, "  # seen");
        case 5: return text.insert(line, "\n");
        case 6: return text.erase(place, 1 + next(3));
        default: return text.insert(place, strokes[next(std::size(strokes))]);
    }
}

TEST(Again, WhateverIsTypedComesOutTheSame) {
    std::uint32_t seed = 0;
    for (const fs::path& path : designs()) {
        const std::string begin = read(path);
        syntax::Dice next(++seed);
        Editor editor(path.string());
        editor.open(begin);
        std::string text = begin;
        for (std::uint32_t k = 0; k < tests::turns(15); ++k) {
            // Back to what it was now and then: a text that is broken everywhere tells little.
            const std::string now = k % 3 == 2 ? begin : typed(text, next);
            const std::string trouble = editor.change(now, k % 3 == 1);
            ASSERT_EQ(trouble, "") << path << ", edit " << k << "\n" << now;
            text = now;
        }
    }
}

// Every number of a design by itself, there and back.
TEST(Again, EveryNumberComesOutTheSame) {
    for (const fs::path& path : designs()) {
        const std::string begin = read(path);
        Editor editor(path.string());
        editor.open(begin);
        std::size_t every = 0;
        for (std::size_t i = 1; i < begin.size(); ++i) {
            const auto digit = [&](std::size_t k) { return k < begin.size() && begin[k] >= '0' && begin[k] <= '9'; };
            if (!digit(i) || digit(i + 1) || ++every % (6000 / tests::turns(100)) != 0) continue;
            std::string now = begin;
            now.insert(i, "1");
            ASSERT_EQ(editor.change(now, true), "") << path << "\n" << now.substr(now.rfind('\n', i) + 1, 80);
            ASSERT_EQ(editor.change(begin, false), "") << path << " taken back at byte " << i;
        }
    }
}

// A conductor taken out and typed again a few letters at a time, now and then under a line that cannot be read.
TEST(Again, ALineThatIsTypedComesOutTheSame) {
    static std::uint32_t seed = 0;  // other letters when repeated
    for (const fs::path& path : designs()) {
        const std::string whole = read(path);
        syntax::Dice next(++seed);
        if (seed % (5 / tests::turns(5)) != 0) continue;
        std::vector<std::size_t> lines;
        for (std::size_t i = 0; i < whole.size(); i = whole.find('\n', i) + 1) {
            if (whole.find('\n', i) == std::string::npos) break;
            if (whole.substr(i, whole.find('\n', i) - i).find(" -> ") != std::string::npos) lines.push_back(i);
        }
        if (lines.empty()) continue;
        Editor editor(path.string());
        editor.open(whole);
        const std::size_t place = lines[next(lines.size())];
        const std::string line = whole.substr(place, whole.find('\n', place) + 1 - place);
        std::string rest = whole;
        rest.erase(place, line.size());
        if (next(3) == 0) rest += next(2) == 0 ? "EAST.+ -> \n" : "Q1 PV-6 ARRAY\n";
        ASSERT_EQ(editor.change(rest, true), "") << path << " without " << line;
        for (std::size_t letters = 0; letters < line.size();) {
            letters = std::min(letters + 1 + next(12), line.size());
            std::string now = rest;
            now.insert(place, line.substr(0, letters) + (letters < line.size() ? "\n" : ""));
            ASSERT_EQ(editor.change(now, next(4) == 0), "") << path << ": " << line.substr(0, letters);
        }
        ASSERT_EQ(editor.change(whole, true), "") << path << ": " << line;
    }
}

// What is kept after which edit: the tests above hold for any answer, so that anything is kept at all is held here.
class Kept : public testing::Test {
protected:
    static constexpr const char* text = R"(edition 1
site "an invented array" { standard iec-62548; coldest -10 degC "invented station"; hottest 35 degC "invented station"; building none }
place FIELD { outdoors exposed }
part M is module { voc 41 V, -0.4 %/K; isc 11.5 A, +0.05 %/K; vmp 34 V, -0.4 %/K; imp 10.9 A; max-system 1500 V; max-fuse 20 A }
part INV is inverter { isolated yes; port pv[1..2] is array { max-voltage 1000 V; tracking 200 V .. 900 V; max-isc 30 A }; protective PE }
part PV-6 is cable { section 6 mm2 copper; rated 1800 V; insulation xlpe 90 degC }
device INV1 is INV on FIELD
string EAST is 20 x M on FIELD
string WEST is 20 x M on FIELD
EAST.+ -> INV1.pv1+ PV-6 red 30 m
EAST.- -> INV1.pv1- PV-6 black 31 m
WEST.+ -> INV1.pv2+ PV-6 red 32 m
WEST.- -> INV1.pv2- PV-6 black 33 m
)";

    struct Answer {
        bool study, facts;  // the same ones, at their places in memory
        Lines said;
    };
    // After this was put in behind a piece of the text.
    static Answer answer(std::string_view behind, std::string_view typed_in) {
        Workspace w(base::disk(), day);
        w.open("/nowhere/kept.fer", text);
        const auto area = [&] { return w.designs().front()->study->facts.table("conductor")->column("area")->numbers.data(); };
        const graph::Design* const study = &w.designs().front()->graph();
        const double* const facts = area();
        std::string now = text;
        const std::size_t place = now.find(behind);
        EXPECT_NE(place, std::string::npos) << behind;
        now.insert(place + behind.size(), typed_in);
        w.change("/nowhere/kept.fer", now);
        return {&w.designs().front()->graph() == study, area() == facts, all_of(*w.designs().front(), true)};
    }
    static Lines fresh(std::string_view behind, std::string_view typed_in) {
        Workspace w(base::disk(), day);
        std::string now = text;
        now.insert(now.find(behind) + behind.size(), typed_in);
        w.open("/nowhere/kept.fer", now);
        return all_of(*w.designs().front(), true);
    }
    static void expect(bool study, bool facts, std::string_view behind, std::string_view typed_in) {
        const Answer a = answer(behind, typed_in);
        EXPECT_EQ(a.study, study) << typed_in;
        EXPECT_EQ(a.facts, facts) << typed_in;
        EXPECT_EQ(a.said, fresh(behind, typed_in)) << typed_in;
    }
};

TEST_F(Kept, OfBlanksAndCommentsAllIs) {
    expect(true, true, "red 30 m", "  # a note");
    expect(true, true, "red 30 m\n", "\n\n");
    expect(true, true, "edition 1\n", "# a note\n");
}

TEST_F(Kept, OfOneConductorTheRestIs) {
    expect(true, true, "red 30", "0");
    expect(true, true, "red 30 m", " 9 m");
    expect(true, true, "red 30 m", " rated 900 V");
    expect(true, false, "EAST.+ -> INV1.pv1+ PV-6 red 30 m", " 10 mm2");
}

TEST_F(Kept, OfACountTheDesignIs) {
    expect(true, false, "EAST is 2", "2");
    expect(false, false, "EAST is 20 x M", "0");
}

TEST_F(Kept, OfALineThatIsHalfTypedTheFactsAre) {
    expect(true, true, "red 30 m\n", "WE\n");
    expect(true, true, "red 30 m\n", "NORTH.+ ->\n");
    expect(true, true, "red 30 m\n", "EAST.+ -> \n");
    expect(true, false, "red 30 m\n", "EAST.+ -> INV1.pv5+\n");
}

TEST_F(Kept, OfAConductorMoreTheDesignIs) {
    expect(true, false, "red 30 m\n", "EAST.+ -> INV1.pv1+ PV-6 red 30 m\n");
    expect(true, false, "red 30 m\n", "EAST.- -> INV1.pv1- PV-6 black\n");
}

// With a rule of the house about conductors.
class KeptInAHouse : public Kept {
protected:
    void SetUp() override {
        folder_ = (fs::temp_directory_path() / "ferrule-kept-XXXXXX").string();
        ASSERT_NE(::mkdtemp(folder_.data()), nullptr);
        fs::create_directory(folder_ + "/house");
        std::ofstream(folder_ + "/ferrule.toml") << "rules = [\"house\"]\n";
        path_ = folder_ + "/kept.fer";
    }
    void TearDown() override {
        std::error_code ignored;
        fs::remove_all(folder_, ignored);
    }
    void demand(std::string_view require) const {
        std::ofstream(folder_ + "/house/house-demand.toml") << tests::house_rule("house.demand", "conductor", "site.strings > 0", require);
    }
    // Is the text, with what was kept, what it is when it is opened? How often the demand is not met then.
    long change(Workspace& w, const std::string& now) const {
        w.change(path_, now);
        Workspace fresh(base::disk(), day);
        fresh.open(path_, now);
        EXPECT_EQ(all_of(*w.designs().front(), true), all_of(*fresh.designs().front(), true));
        const auto& found = w.designs().front()->report.findings;
        return std::count_if(found.begin(), found.end(), [](const findings::Finding& f) { return f.rule == "house.demand"; });
    }
    std::string folder_, path_;
};

// Where it asks nothing of a conductor but what its cable states.
TEST_F(KeptInAHouse, WhatACableStatesIsAskedAgain) {
    demand("section >= 10 mm2");
    std::string now = text;
    now.insert(now.find("device INV1"), "part PV-16 is cable { section 16 mm2 copper; rated 1800 V; insulation xlpe 90 degC }\n");
    Workspace w(base::disk(), day);
    w.open(path_, now);
    const graph::Design* const study = &w.designs().front()->graph();
    long thin = 4;
    for (const char* line : {"EAST.+ -> INV1.pv1+ PV-", "EAST.- -> INV1.pv1- PV-", "WEST.+ -> INV1.pv2+ PV-", "WEST.- -> INV1.pv2- PV-"}) {
        now.replace(now.find(line) + std::string_view(line).size(), 1, "16");
        EXPECT_EQ(change(w, now), --thin);
    }
    EXPECT_EQ(&w.designs().front()->graph(), study);
}

// Where it asks nothing of a conductor at all.
TEST_F(KeptInAHouse, AConductorMoreIsJudged) {
    demand("site.strings > 2");
    std::string now = text;
    Workspace w(base::disk(), day);
    w.open(path_, now);
    now.insert(now.find("WEST.+ ->"), "EAST.+ -> INV1.pv1+ PV-6 red 30 m\n");
    EXPECT_EQ(change(w, now), 5);
}

TEST_F(Kept, OfMoreThanThatNothingIs) {
    expect(false, false, "edition 1\n", "place ROOF { outdoors exposed }\n");
    expect(false, false, "voc 4", "1");
    expect(false, false, "string EAS", "X");
}

}  // namespace
}  // namespace ferrule::service

// What no honest person writes, through the real program: it says where and why, ends with the right status, loses
// nothing, and neither crashes nor hangs.
#include <string>

#include <sys/stat.h>

#include "support/program.hpp"

namespace {

using ferrule::tests::Program;
using ferrule::tests::Ran;

std::string repeated(std::string_view text, std::size_t n) {
    std::string all;
    all.reserve(text.size() * n);
    for (std::size_t i = 0; i < n; ++i) all += text;
    return all;
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

class BadInput : public Program {
protected:
    // The text as a design file of its own: checked, an error at that place.
    Ran error(std::string_view text, std::string_view place = {}) const {
        write("x.fer", text);
        Ran ran = check("x.fer", 1);
        if (!place.empty()) {
            EXPECT_TRUE(has(ran.out, "x.fer:" + std::string(place) + ": error:")) << ran.out.substr(0, 2000);
        }
        return ran;
    }
};

TEST_F(BadInput, NothingThere) {
    for (const std::string_view text : {"", "# a comment\n", "  \n\t\n", "\xEF\xBB\xBF"}) {
        write("x.fer", text);
        const Ran ran = check("x.fer", 0);
        EXPECT_TRUE(has(ran.out, "no system is described")) << ran.out;
        EXPECT_EQ(run({"tidy", "x.fer"}).status, 0);
        const std::string once = read(path("x.fer"));
        EXPECT_EQ(run({"tidy", "x.fer"}).status, 0);
        EXPECT_EQ(read(path("x.fer")), once);
        EXPECT_TRUE(once.empty() || !text.empty());
    }
}

TEST_F(BadInput, MillionBraces) {
    EXPECT_TRUE(has(error("edition 1\n" + repeated("x {\n", 1'000'000)).out, "64"));
    EXPECT_TRUE(has(error("edition 1\nplace A {\n" + repeated("face {\n", 1'000'000)).out, "64"));
    error("edition 1\n" + repeated("place A {\n", 1'000'000));
    error("edition 1\nplace A " + repeated("{", 1'000'000));
    error("edition 1\nplace A " + repeated("}", 1'000'000));
    error("edition 1\nA.+ -> B." + repeated("[", 1'000'000));
}

TEST_F(BadInput, LongDottedKeyInARuleFile) {
    write("x.fer", "edition 1\n");
    write("house/a.toml", "a" + repeated(".a", 100'000) + " = 1\n");
    const Ran ran = run({"check", "--rules", "house", "x.fer"});
    EXPECT_EQ(ran.status, 2);
    EXPECT_TRUE(has(ran.err, "a.toml:1:") && has(ran.err, "64")) << ran.err.substr(0, 500);
}

TEST_F(BadInput, DoublingAssemblies) {
    std::string text = "edition 1\nassembly A0 { device X is P }\npart P is busbar { ways 2 }\n";
    for (int i = 1; i <= 40; ++i) {
        const std::string before = "A" + std::to_string(i - 1);
        text += "assembly A" + std::to_string(i) + " { device L is " + before + "; device R is " + before + " }\n";
    }
    error(text + "device ALL is A40\n");
}

TEST_F(BadInput, CirclesOfFilesAndAssemblies) {
    write("a.fer", "edition 1\ninclude \"b.fer\"\n");
    write("b.fer", "edition 1\ninclude \"a.fer\"\n");
    write("self.fer", "edition 1\ninclude \"self.fer\"\n");
    write("c.fer", "edition 1\ninclude \"link/c.fer\"\n");
    ASSERT_EQ(::symlink(".", path("link").c_str()), 0);
    for (const char* file : {"a.fer", "self.fer", "c.fer"}) {
        const Ran ran = check(file, 1);
        EXPECT_TRUE(has(ran.out, "1 error,")) << ran.out;
    }
    EXPECT_EQ(run({"check", "."}).status, 1);
    error("edition 1\nassembly A { device X is B }\nassembly B { device X is A }\ndevice D is A\n");
}

TEST_F(BadInput, RepeatCounts) {
    for (const char* to : {"4294967296", "-5", "1e300", "99999999999999999999999", "0"}) {
        error(std::string("edition 1\npart P is busbar { ways 2 }\nrepeat i in 1..") + to + " { device D[i] is P }\n");
        error(std::string("edition 1\npart P is busbar { ways 2 }\ndevice D[1..") + to + "] is P\n");
    }
    error("edition 1\nstring S is 4294967296 x M\npart M is module { voc 40 V; isc 5 A }\n");
    error("edition 1\nrepeat i in 1..1000000 { repeat j in 1..1000000 { repeat k in 1..1000000 { gang A, B } } }\n");
}

TEST_F(BadInput, Numbers) {
    for (const std::string v : {"1e999 V", "nan V", "inf V", "0x1p4 V", "1_000 V", "1e V", "1.2.3 V", "1,5 V", "--4 V", "4. V", ".5 V"}) {
        write("x.fer", "edition 1\npart M is module {\n    voc " + v + "\n    isc 5 A\n}\n");
        const Ran ran = check("x.fer", 1);
        EXPECT_TRUE(has(ran.out, "x.fer:3:")) << v << "\n" << ran.out.substr(0, 800);
    }
    write("x.fer", "edition 1\npart M is module {\n    voc " + repeated("9", 10'000) + " V\n    isc 5 A\n}\n");
    EXPECT_TRUE(has(check("x.fer", 1).out, "x.fer:3:"));
}

TEST_F(BadInput, Units) {
    const auto section = [&](const std::string& v) {
        write("x.fer", "edition 1\npart C is cable {\n    section " + v + "\n}\n");
        return run({"check", "x.fer"});
    };
    for (const char* good : {"6 mm2", "6 mm²", "6mm2", "6mm²"}) EXPECT_EQ(section(good).status, 0) << good << section(good).out;
    for (const char* bad : {"6 mm3", "6", "6 m", "6 mm", "6 V", "6 qq"}) {
        const Ran ran = section(bad);
        EXPECT_EQ(ran.status, 1) << bad;
        EXPECT_TRUE(has(ran.out, "x.fer:3:1")) << bad << "\n" << ran.out.substr(0, 800);
    }
    for (const char* ohm : {"5 ohm", "5 \xCE\xA9", "5 \xE2\x84\xA6"}) {
        write("x.fer", std::string("edition 1\npart R is electrode { type rod; resistance ") + ohm + " }\n");
        EXPECT_EQ(run({"check", "x.fer"}).status, 0) << ohm << run({"check", "x.fer"}).out;
    }
}

TEST_F(BadInput, BytesThatAreNoText) {
    const std::string start = "edition 1\nplace A { note \"";
    for (const std::string& bytes : {std::string("\xff"), std::string("\xc0\xaf"), std::string("\xed\xa0\x80"), std::string("\xe2\x82"), std::string(1, '\0')}) {
        const Ran ran = error(start + bytes + "\" }\n");
        EXPECT_TRUE(has(ran.out, "x.fer:2:17: error:")) << ran.out;
        EXPECT_FALSE(has(ran.out, bytes)) << "shown raw";
    }
    std::string wide = "\xff\xfe";
    for (const char c : std::string("edition 1\n")) wide += {c, '\0'};
    EXPECT_TRUE(has(error(wide).out, "UTF-16"));
    for (const std::string& packed : {std::string("\x1f\x8b\x08\x00\x00", 5), std::string("PK\x03\x04\x00", 5), std::string("%PDF-1.7\n")}) error(packed);
    std::string noise;
    for (unsigned i = 0, x = 12345; i < 100'000; ++i, x = x * 1103515245U + 12345U) noise += static_cast<char>(x >> 16U);
    error(noise);
}

TEST_F(BadInput, NothingSteersATerminal) {
    const std::string rlo = "\xE2\x80\xAE", zero = "\xE2\x80\x8B", escape = "\x1b[31m";
    for (const std::string& evil : {rlo, zero, escape, std::string("\x1b]52;c;AA\x07"), std::string("\b"), std::string("\x9b" "1m")}) {
        write("x.fer", "edition 1\nplace A" + evil + " { outdoors exposed }\ndevice B is \"" + evil + "\"\nplace C { outdors " + evil + " }\n");
        const Ran text = run({"check", "x.fer"});
        EXPECT_FALSE(has(text.all(), evil));
        EXPECT_NE(text.status, 0);
    }
    const std::string name = "a" + escape + "\n%0A::error::b.fer";
    write(name, "edition 1\nplace\n");
    for (const char* command : {"check", "tidy", "values"}) {
        const Ran ran = run({command, name});
        EXPECT_FALSE(has(ran.all(), "\x1b")) << command;
        EXPECT_FALSE(has(ran.all(), "\n%0A::error")) << command;
    }
    EXPECT_FALSE(has(run({"check", "none" + escape}).all(), "\x1b"));
    EXPECT_FALSE(has(run({"explain", escape}).all(), "\x1b"));
    EXPECT_FALSE(has(run({"check", "--" + escape}).all(), "\x1b"));
}

TEST_F(BadInput, HugeFiles) {
    write("x.fer", "");
    ASSERT_EQ(::truncate(path("x.fer").c_str(), 1LL << 30), 0);
    const Ran large = run({"check", "x.fer"});
    EXPECT_EQ(large.status, 2);
    EXPECT_TRUE(has(large.all(), "64 MiB")) << large.all();
    const Ran line = error("edition 1\n# " + repeated("x", 50'000'000) + "\n");
    EXPECT_LT(line.out.size(), 4000U);
    EXPECT_LT(error("edition 1\nplace A { note \"" + repeated("é", 100'000) + "\" }\n").out.size(), 4000U);
}

TEST_F(BadInput, MillionLines) {
    write("x.fer", "edition 1\n" + repeated("# a line\n", 1'000'000) + "place\n");
    EXPECT_TRUE(has(check("x.fer", 1).out, "x.fer:1000002:"));
}

TEST_F(BadInput, IncludesOutsideTheProject) {
    write("secret.fer", "edition 1\nplace TELLTALE {\n");
    std::filesystem::create_directories(path("project/.git"));
    ASSERT_EQ(::symlink("../secret.fer", (path("project") + "/link.fer").c_str()), 0);
    for (const char* where : {"../secret.fer", "sub/../../secret.fer", "/etc/passwd", "../../../../../../etc/passwd", "file:///etc/passwd",
                              "~/x.fer", "%2e%2e/secret.fer", "..\\\\secret.fer", "link.fer", "", "."}) {
        write("project/x.fer", std::string("edition 1\ninclude \"") + where + "\"\n");
        const Ran ran = check("project/x.fer", 1);
        EXPECT_TRUE(has(ran.out, "project/x.fer:2:")) << where << ran.out;
        EXPECT_FALSE(has(ran.all(), "TELLTALE") || has(ran.all(), "root:")) << where;
    }
    write("project/deep/er/x.fer", "edition 1\ninclude \"../../shared.fer\"\n");
    write("project/shared.fer", "edition 1\nplace A { outdoors exposed }\n");
    check("project/deep/er/x.fer", 0);
}

TEST_F(BadInput, IncludesThatAreNoFiles) {
    std::filesystem::create_directories(path("folder.fer"));
    ASSERT_EQ(::mkfifo(path("pipe.fer").c_str(), 0600), 0);
    ASSERT_EQ(::symlink("nowhere.fer", path("dangling.fer").c_str()), 0);
    ASSERT_EQ(::symlink("loop.fer", path("loop.fer").c_str()), 0);
    write("closed.fer", "edition 1\n");
    ::chmod(path("closed.fer").c_str(), 0);
    for (const std::string name : {"folder.fer", "pipe.fer", "dangling.fer", "loop.fer", "closed.fer", "missing.fer"}) {
        if (name == "closed.fer" && ::geteuid() == 0) continue;  // root may read it all the same
        write("x.fer", "edition 1\ninclude \"" + name + "\"\n");
        EXPECT_TRUE(has(check("x.fer", 1).out, "x.fer:2:")) << name;
        EXPECT_EQ(run({"check", name}).status, 2) << name;
    }
    for (const char* device : {"/dev/zero", "/dev/null", "/proc/self/mem"}) EXPECT_EQ(run({"check", device}).status, 2) << device;
}

TEST_F(BadInput, OneFileUnderTwoNames) {
    write("x.fer", "edition 1\nplace\n");
    ASSERT_EQ(::symlink("x.fer", path("y.fer").c_str()), 0);
    const Ran ran = run({"check", "x.fer", "./x.fer", "y.fer", path("x.fer"), "."});
    EXPECT_EQ(ran.status, 1);
    EXPECT_TRUE(has(ran.out, "1 error,") && has(ran.out, "1 file")) << ran.out;
}

TEST_F(BadInput, OutputThatCannotBeWritten) {
    write("x.fer", "edition 1\nplace\n");
    EXPECT_EQ(run({"check", "x.fer"}, {}, "/dev/full").status, 2);
    EXPECT_EQ(run({"check", "x.fer"}, {}, "").status, 2);
    EXPECT_EQ(run({"--help"}, {}, "/dev/full").status, 2);
    write("old.json", "old");
    const Ran ran = run({"check", "x.fer", "--format", "json", "--output", "nowhere/out.json"});
    EXPECT_EQ(ran.status, 2);
    EXPECT_FALSE(ran.err.empty());
    const Ran unread = run({"check", "x.fer"}, {}, "|");
    EXPECT_EQ(unread.status, 2);
    EXPECT_TRUE(has(unread.err, "ferrule: ")) << unread.err;
}

TEST_F(BadInput, RuleFilesThatCannotBeUsed) {
    write("x.fer", "edition 1\n");
    for (const char* rule : {"id = \n", "id = \"house.a\"\nunheard-of = 1\n", "id = 5\n", "title = \"no id\"\n",
                             "id = \"house.a\"\ntitle = \"t\"\nabout = \"string\"\nrequire = \"voc-coldest <= 30 A\"\nmessage = \"m\"\n", "\xff\xfe"}) {
        write("house/a.toml", rule);
        const Ran ran = run({"check", "--rules", "house", "x.fer"});
        EXPECT_EQ(ran.status, 2) << rule;
        EXPECT_TRUE(has(ran.err, "house/a.toml:")) << rule << "\n" << ran.err;
    }
    EXPECT_EQ(run({"check", "--rules", "nowhere", "x.fer"}).status, 2);
    EXPECT_EQ(run({"check", "--standard", "nowhere", "x.fer"}).status, 2);
    EXPECT_EQ(run({"check", "--only", "no.such-rule", "x.fer"}).status, 2);
    EXPECT_EQ(run({"check", "nowhere.fer"}).status, 2);
    EXPECT_EQ(run({"check"}).status, 2);
    EXPECT_EQ(run({"chekc", "x.fer"}).status, 2);
    EXPECT_EQ(run({}).status, 2);
}

TEST_F(BadInput, LineEndings) {
    const std::string text = "edition 1\nplace A { outdoors exposed }\n\nplace\tB { outdors exposed }\n# end";
    for (const std::string ending : {"\n", "\r\n", "\r"}) {
        std::string other;
        for (const char c : text) other += c == '\n' ? ending : std::string(1, c);
        write("x.fer", other);
        const Ran ran = check("x.fer", 1);
        EXPECT_TRUE(has(ran.out, "x.fer:4:11: error:") || ending == "\r") << ran.out;
    }
    write("x.fer", "edition 1\r\nplace   A { outdoors exposed }\r\n");
    EXPECT_EQ(run({"tidy", "x.fer"}).status, 0);
    EXPECT_EQ(read(path("x.fer")), "edition 1\r\nplace A { outdoors exposed }\r\n");
}

}  // namespace

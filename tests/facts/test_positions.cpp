// The graph against brute force: small random switches with random links and landings, every position tried in the plainest way
// there is (marking from terminal to terminal), and compared with what the analyses say. Source: none; it is the definition itself.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <array>
#include <random>
#include <set>
#include <string>
#include <vector>

#include "facts/facts.hpp"
#include "support/design_text.hpp"
#include "support/turns.hpp"

namespace ferrule::tests {
namespace {

struct Wire {
    std::string a, b;
};

// Two switches in a row of two to four poles each, random links, two strings (or one) landed anywhere, one controller.
struct SwitchSystem {
    int poles = 2;
    std::vector<Wire> wires;       // conductors and links
    std::vector<std::array<std::string, 3>> contacts;  // terminal, terminal, switch
    std::string text;
};

SwitchSystem random_switches(std::mt19937& random, bool one_string = false) {
    const auto pick = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
    SwitchSystem s;
    s.poles = 2 + pick(3);
    s.text = "edition 1\nsite \"random\" { standard iec-62548; coldest -10 degC }\nplace HUT { indoors dry }\n"
             "part PM is module { voc 40 V, -0.3 %/K; isc 10 A; vmp 33 V; imp 9.4 A }\n"
             "part CC is controller { port pv[1..2] is array { max-voltage 400 V } }\npart SW is isolator {\n";
    for (int p = 1; p <= s.poles; ++p) s.text += fmt::format("    pole {}-{}\n", 2 * p - 1, 2 * p);
    s.text += "    rated 2 in series 600 V 25 A\n}\nstring A, B is 2 x PM on HUT\ndevice Q1, Q2 is SW in HUT\ndevice C is CC in HUT\n";
    for (const std::string q : {"Q1", "Q2"}) {
        for (int p = 1; p <= s.poles; ++p) s.contacts.push_back({fmt::format("{}.{}", q, 2 * p - 1), fmt::format("{}.{}", q, 2 * p), q});
        std::set<std::pair<int, int>> links;
        for (int k = pick(3); k > 0; --k) {
            const int a = 1 + pick(2 * s.poles), b = 1 + pick(2 * s.poles);
            if (a != b) links.insert({std::min(a, b), std::max(a, b)});
        }
        std::string list;
        for (const auto& [a, b] : links) {
            list += fmt::format("{}{}-{}", list.empty() ? "" : ", ", a, b);
            s.wires.push_back({fmt::format("{}.{}", q, a), fmt::format("{}.{}", q, b)});
        }
        s.text += fmt::format("jumper {} {}\n", q, list.empty() ? "none" : list);
    }
    const auto wire = [&](const std::string& a, const std::string& b) {
        s.wires.push_back({a, b});
        s.text += fmt::format("{} -> {} 6 mm2 copper 5 m\n", a, b);
    };
    std::set<std::string> landed;
    const auto terminal = [&](const char* q) {
        std::string t = fmt::format("{}.{}", q, 1 + pick(2 * s.poles));
        while (one_string && landed.contains(t)) t = fmt::format("{}.{}", q, 1 + pick(2 * s.poles));  // one conductor a clamp
        landed.insert(t);
        return t;
    };
    for (const char* end : {"A.+", "A.-"}) wire(end, terminal("Q1"));
    for (int k = 0; k < (one_string ? 2 : 4); ++k) wire(terminal("Q1"), terminal("Q2"));
    for (const char* end : {"C.pv1+", "C.pv1-"}) wire(terminal("Q2"), end);
    if (one_string) return s;
    for (const char* end : {"B.+", "B.-"}) wire(end, terminal("Q1"));
    for (const char* end : {"C.pv2+", "C.pv2-"}) wire(terminal("Q2"), end);
    return s;
}

// Everything joined to a terminal with these switches on.
std::set<std::string> joined(const SwitchSystem& s, const std::string& from, const std::set<std::string>& on) {
    std::set<std::string> seen{from};
    std::vector<std::string> front{from};
    const auto step = [&](const std::string& x, const std::string& y, const std::string& t) {
        if (t != x && t != y) return;
        const std::string& u = t == x ? y : x;
        if (seen.insert(u).second) front.push_back(u);
    };
    while (!front.empty()) {
        const std::string t = front.back();
        front.pop_back();
        for (const Wire& w : s.wires) step(w.a, w.b, t);
        for (const auto& [a, b, q] : s.contacts) {
            if (on.contains(q)) step(a, b, t);
        }
    }
    return seen;
}

std::string word(const facts::Facts& f, const facts::Table& t, const char* column, std::uint32_t row) {
    return std::string(f.words.text(t.column(column)->words[row]));
}

std::string reached_by(const std::set<std::string>& terminals, const char* sign) {
    std::string out;
    for (const char* s : {"A", "B"}) {
        if (terminals.contains(std::string(s) + "." + sign)) out += (out.empty() ? "" : ", ") + std::string(s);
    }
    return out.empty() ? "none" : out;
}

TEST(Positions, AgreeWithBruteForceOverEveryPosition) {
    std::mt19937 random(20261124);
    std::size_t compared = 0;
    for (std::uint32_t turn = 0; turn < turns(300); ++turn) {
        const SwitchSystem s = random_switches(random);
        const Loaded l = load(s.text);
        ASSERT_EQ(l.count("design.unknown-terminal"), 0U) << l.told();
        const tables::Standard none;
        const facts::Facts f = facts::compute(l.design, none);
        const facts::Table& t = *f.table("position");
        for (std::uint32_t r = 0; r < t.rows; ++r) {
            // "Q1 on, Q2 off": a switch that is not named is on another circuit, and its position changes nothing here.
            const std::string state = word(f, t, "state", r);
            for (const bool others_on : {false, true}) {
                std::set<std::string> on;
                for (const char* q : {"Q1", "Q2"}) {
                    const auto at = state.find(q);
                    if (at == std::string::npos ? others_on : state.compare(at + 3, 2, "on") == 0) on.insert(q);
                }
                const auto terminals = joined(s, t.name(r), on);
                ASSERT_EQ(word(f, t, "plus", r), reached_by(terminals, "+")) << t.name(r) << " with " << state << "\n" << s.text;
                ASSERT_EQ(word(f, t, "minus", r), reached_by(terminals, "-")) << t.name(r) << " with " << state << "\n" << s.text;
                ++compared;
            }
        }
        // What is shorted with everything on is told, and nothing else.
        const facts::Table& shorts = *f.table("short");
        std::set<std::string> told;
        for (std::uint32_t r = 0; r < shorts.rows; ++r) told.insert(shorts.name(r));
        for (const char* name : {"A", "B"}) {
            const bool shorted = joined(s, std::string(name) + ".+", {"Q1", "Q2"}).contains(std::string(name) + ".-");
            EXPECT_EQ(told.contains(name), shorted) << name << "\n" << s.text;
        }
    }
    EXPECT_GT(compared, turns(10000));
}

// Contacts in series by brute force: fewest contacts of the switch on any way from the string's + to the input's +.
int fewest_contacts(const SwitchSystem& s, const std::string& from, const std::string& to, const std::string& of) {
    std::vector<std::pair<std::string, int>> front{{from, 0}};
    std::set<std::string> done;
    for (int depth = 0; depth <= 8; ++depth) {
        std::vector<std::pair<std::string, int>> next;
        for (std::size_t i = 0; i < front.size(); ++i) {
            const auto [t, n] = front[i];
            if (!done.insert(t).second) continue;
            if (t == to) return n;
            for (const Wire& w : s.wires) {
                if (w.a == t) front.emplace_back(w.b, n);
                if (w.b == t) front.emplace_back(w.a, n);
            }
            for (const auto& [a, b, q] : s.contacts) {
                if (a != t && b != t) continue;
                (q == of ? next : front).emplace_back(a == t ? b : a, q == of ? n + 1 : n);
            }
        }
        front.swap(next);
    }
    return -1;
}

TEST(Poles, AreCountedAsBruteForceCountsThem) {
    std::mt19937 random(7);
    std::size_t compared = 0;
    for (std::uint32_t turn = 0; turn < turns(6000) && compared < turns(200); ++turn) {
        const SwitchSystem s = random_switches(random, true);
        const Loaded l = load(s.text);
        const tables::Standard none;
        const facts::Facts f = facts::compute(l.design, none);
        if (f.table("short")->rows != 0 || f.table("reversal")->rows != 0) continue;
        const facts::Table& t = *f.table("broken-circuit");
        for (std::uint32_t r = 0; r < t.rows; ++r) {
            const std::uint32_t input = t.column("input")->subjects[r];
            const auto& list = t.column("strings")->lists[r];
            if (input == facts::no_row || list.count != 1 || word(f, t, "joined-when-off", r) != "none") continue;
            const std::string string = f.table("string")->name(t.column("strings")->pool[list.first]);
            const std::string at = f.table("input")->name(input);
            const std::string q = f.table("device")->name(t.column("switch")->subjects[r]);
            const int plus = fewest_contacts(s, string + ".+", at + "+", q);
            const int minus = fewest_contacts(s, string + ".-", at + "-", q);
            if (plus < 0 || minus < 0) continue;
            EXPECT_EQ(t.column("poles-plus")->numbers[r], plus) << t.name(r) << "\n" << s.text;
            EXPECT_EQ(t.column("poles-minus")->numbers[r], minus) << t.name(r) << "\n" << s.text;
            ++compared;
        }
    }
    EXPECT_GE(compared, turns(100));
}

}  // namespace
}  // namespace ferrule::tests

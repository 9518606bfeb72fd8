// An invented hut, whole and with its parts in a file of their own, for tests of the real program.
#pragma once

#include <set>
#include <string>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "support/program.hpp"

namespace ferrule::tests {

inline bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

inline constexpr std::string_view hut_parts = R"(edition 1
part PM is module { pmax 100 W, -0.35 %/K; voc 25 V, -0.28 %/K; isc 5.9 A; vmp 20 V; imp 5 A; max-system 600 V; max-fuse 15 A; frame none }
part SW is isolator {
    category DC-PV2; pole 1-2; pole 3-4; rated 1 in series 150 V 16 A; rated 2 in series 300 V 16 A; polarised no
    takes 1 x 2.5 mm2 .. 10 mm2 copper; torque 1.2 N.m; lockable off
}
part CC is controller {
    type mppt; isolated no; ground-fault interrupts
    port pv is array { max-voltage 80 V; tracking 20 V .. 75 V; max-isc 20 A; switch none }
    port bat is battery { nominal 12 V }
    takes 1 x 2.5 mm2 .. 10 mm2 copper; torque 1.2 N.m
}
part PV-4 is cable { section 4 mm2 copper; rated 1000 V; diameter 5.4 mm }
)";

inline constexpr std::string_view hut_site = R"(site "Hut" { standard nec-2023; coldest -20 degC "invented"; hottest 30 degC; array ground-mount; building none }
place YARD { outdoors exposed }
place HUT { indoors dry }
string SOUTH is 3 x PM on YARD
device Q1 is SW in HUT
device MPPT is CC in HUT
run ROPE { length 12 m; through YARD, HUT
    SOUTH.+ -> Q1.1 PV-4 red
    SOUTH.- -> Q1.3 PV-4 black
    Q1.2 -> MPPT.pv+ PV-4 red
    Q1.4 -> MPPT.pv- PV-4 black
}
)";

// The string's cold voltage is above the controller's limit; else it is right.
inline const std::string hut = std::string(hut_parts) + std::string(hut_site);
inline const std::string hut_with_include = "edition 1\ninclude \"parts.fer\"\n" + std::string(hut_site);

inline constexpr std::string_view house_rule =
    "id = \"house.short-strings\"\ntitle = \"Strings have two modules at most\"\nseverity = \"warning\"\nabout = \"string\"\n"
    "require = \"modules <= 2\"\nmessage = \"{string} has {modules} modules\"\nremedy = \"take one away\"\nwhy = \"house rule\"\n"
    "[[source]]\nstatus = \"common practice, no source\"\n";

class Hut : public Program {
protected:
    void SetUp() override {
        Program::SetUp();
        write("hut.fer", hut);
    }
    void edit(const std::string& name, const std::string& from, const std::string& to) const {
        std::string text = read(path(name));
        const std::size_t at = text.find(from);
        ASSERT_NE(at, std::string::npos) << from;
        write(name, text.replace(at, from.size(), to));
    }
    // The rules of what is found, as often as they speak.
    std::multiset<std::string> rules_of(std::vector<std::string> arguments) const {
        arguments.insert(arguments.end(), {"--format", "json"});
        const Ran ran = run(arguments);
        std::multiset<std::string> rules;
        const auto json = nlohmann::json::parse(ran.out, nullptr, false);
        if (json.is_discarded()) {
            ADD_FAILURE() << ran.all();
            return rules;
        }
        for (const auto& f : json["findings"]) rules.insert(f["rule"].get<std::string>());
        return rules;
    }
    // Some rule that is a matter of life and limb, as the program itself says.
    [[nodiscard]] std::string life_safety_rule() const {
        const auto sarif = nlohmann::json::parse(run({"check", "--format", "sarif", "hut.fer"}).out);
        for (const auto& rule : sarif["runs"][0]["tool"]["driver"]["rules"]) {
            for (const auto& tag : rule["properties"]["tags"]) {
                if (tag == "life-safety" && rule["defaultConfiguration"]["level"] == "error") return rule["id"].get<std::string>();
            }
        }
        return {};
    }
    Ran run_with(const std::vector<std::pair<std::string, std::string>>& variables, const std::vector<std::string>& arguments) const {
        std::vector<std::pair<std::string, std::string>> before;
        for (const auto& [name, value] : variables) {
            const char* old = ::getenv(name.c_str());
            before.emplace_back(name, old == nullptr ? "" : old);
            ::setenv(name.c_str(), value.c_str(), 1);
        }
        Ran ran = run(arguments);
        for (const auto& [name, value] : before) value.empty() ? ::unsetenv(name.c_str()) : ::setenv(name.c_str(), value.c_str(), 1);
        return ran;
    }
};

// Some other program; its output is of no interest.
inline Ran command(std::vector<std::string> arguments) {
    std::vector<char*> argv;
    for (std::string& a : arguments) argv.push_back(a.data());
    argv.push_back(nullptr);
    const pid_t child = ::fork();
    if (child == 0) {
        const int nothing = ::open("/dev/null", O_RDWR);
        for (const int fd : {0, 1, 2}) ::dup2(nothing, fd);
        ::execvp(argv[0], argv.data());
        ::_exit(127);
    }
    int status = 0;
    ::waitpid(child, &status, 0);
    Ran ran;
    ran.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return ran;
}

}  // namespace ferrule::tests

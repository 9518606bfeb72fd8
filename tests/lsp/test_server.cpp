// The server as a client sees it. The designs are small and invented.
#include <fstream>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "helper_client.hpp"

namespace {

using ferrule::tests::Client;
using ferrule::tests::codes;
using ferrule::tests::Json;

const std::string parts = R"(edition 1
# 3 Ω and 🌞: what stands before a name on its line
part PM-400 is module { voc 40 V, -0.27 %/K; isc 12.5 A; max-system 1000 V; frame none }
part SW-2P is isolator { pole 1-2; pole 3-4; rated 2 in series 300 V 25 A; polarised no; torque 2 N.m }
part INV is inverter { isolated yes; ground-fault detects; torque 2 N.m; port pv is array { max-voltage 900 V } }
)";
const std::string site = R"(edition 1
site "Saltmarsh" { standard iec-62548; coldest -10 degC; hottest 35 degC; array ground-mount; building none }
include "parts.fer"
place FIELD { outdoors exposed }
place HUT { indoors dry }
string EAST is 9 x PM-400 on FIELD
device Q1 is SW-2P in HUT
EAST.+ -> Q1.1 6 mm2 copper red 5 m  # Ω 🌞
EAST.- -> Q1.3 6 mm2 copper black 5 m
device I is INV in HUT
Q1.2 -> I.pv+ 6 mm2 copper red 1 m
Q1.4 -> I.pv- 6 mm2 copper black 1 m
)";

std::map<std::string, std::string> two_files() { return {{"/site/site.fer", site}, {"/site/parts.fer", parts}}; }

bool holds(const std::vector<std::string>& all, const std::string& one) { return std::find(all.begin(), all.end(), one) != all.end(); }

TEST(Server, RefusesWhatComesTooEarlyOrIsUnknown) {
    Client c;
    EXPECT_EQ(c.ask("textDocument/hover", Client::in("/site/x.fer", 0, 0))["error"]["code"], -32002);
    c.start();
    EXPECT_EQ(c.ask("textDocument/nothing", Json::object())["error"]["code"], -32601);
    EXPECT_EQ(c.ask("textDocument/hover", Json::object())["error"]["code"], -32602);
    EXPECT_EQ(c.ask("initialize", Json::object())["error"]["code"], -32600);
    c.said.clear();
    c.raw("{no json");
    EXPECT_EQ(c.said.back()["error"]["code"], -32700);
    c.raw("[1,2]");
    EXPECT_EQ(c.said.back()["error"]["code"], -32600);
    EXPECT_TRUE(c.ask("shutdown", nullptr).is_null());
    EXPECT_EQ(c.ask("textDocument/hover", Json::object())["error"]["code"], -32600);
    EXPECT_FALSE(c.tell("exit", nullptr));
}

TEST(Server, OffersWhatItCan) {
    Client c;
    const Json caps = c.start()["capabilities"];
    EXPECT_EQ(caps["positionEncoding"], "utf-16");
    EXPECT_FALSE(caps.contains("diagnosticProvider"));  // the client did not ask for it: it is pushed
    Client d;
    const Json more = {{"general", {{"positionEncodings", {"utf-8", "utf-16"}}}}, {"textDocument", {{"diagnostic", Json::object()}}}};
    const Json other = d.start({}, more)["capabilities"];
    EXPECT_EQ(other["positionEncoding"], "utf-8");
    EXPECT_TRUE(other.contains("diagnosticProvider"));
}

TEST(Server, TellsTheFindingsOfAWorkspaceAndOfAnEdit) {
    Client c(two_files());
    c.start();
    c.open("/site/site.fer", site);
    const Json before = c.diagnostics("/site/site.fer");
    EXPECT_TRUE(holds(codes(before), "dc-rating.breaking-voltage") || holds(codes(before), "rating.device-voltage")) << before.dump(1);
    // Nine modules become six: the switch then stands the voltage.
    c.said.clear();
    c.replace("/site/site.fer", Client::span(5, 15, 16), "6");
    c.settle();
    const Json after = c.diagnostics("/site/site.fer");
    EXPECT_FALSE(holds(codes(after), "dc-rating.breaking-voltage")) << after.dump(1);
    for (const Json& d : before) {
        EXPECT_TRUE(d.contains("severity"));
        EXPECT_EQ(d["source"], "ferrule");
        EXPECT_EQ(d["codeDescription"]["href"], "file:///pages/" + d["code"].get<std::string>() + ".md");
    }
}

TEST(Server, RefreshesWhatAnIncludedFileChanges) {
    Client c(two_files());
    c.start();
    c.open("/site/site.fer", site);
    c.said.clear();
    // In the editor, unsaved.
    std::string better = parts;
    better.replace(better.find("300 V"), 5, "900 V");
    c.open("/site/parts.fer", better);
    EXPECT_FALSE(holds(codes(c.diagnostics("/site/site.fer")), "dc-rating.breaking-voltage"));
    // Closed unsaved: the disk counts again.
    c.said.clear();
    c.tell("textDocument/didClose", Client::doc("/site/parts.fer"));
    c.settle();
    EXPECT_TRUE(holds(codes(c.diagnostics("/site/site.fer")), "dc-rating.breaking-voltage")) << c.diagnostics("/site/site.fer").dump(1);
    // On the disk, by somebody else.
    c.said.clear();
    c.files.files["/site/parts.fer"] = better;
    c.tell("workspace/didChangeWatchedFiles", {{"changes", {{{"uri", "file:///site/parts.fer"}, {"type", 2}}}}});
    c.settle();
    EXPECT_FALSE(holds(codes(c.diagnostics("/site/site.fer")), "dc-rating.breaking-voltage"));
    // Gone.
    c.said.clear();
    c.files.files.erase("/site/parts.fer");
    c.tell("workspace/didChangeWatchedFiles", {{"changes", {{{"uri", "file:///site/parts.fer"}, {"type", 3}}}}});
    c.settle();
    EXPECT_TRUE(holds(codes(c.diagnostics("/site/site.fer")), "design.include"));
    // And back.
    c.said.clear();
    c.files.files["/site/parts.fer"] = better;
    c.tell("workspace/didChangeWatchedFiles", {{"changes", {{{"uri", "file:///site/parts.fer"}, {"type", 1}}}}});
    c.settle();
    EXPECT_FALSE(holds(codes(c.diagnostics("/site/site.fer")), "design.include"));
}

TEST(Server, IsPulledByThoseWhoPull) {
    Client c(two_files());
    c.start({}, {{"textDocument", {{"diagnostic", Json::object()}}}});
    c.open("/site/site.fer", site);
    EXPECT_EQ(c.diagnostics("/site/site.fer"), "never published");
    const Json report = c.ask("textDocument/diagnostic", Client::doc("/site/site.fer"));
    EXPECT_EQ(report["kind"], "full");
    EXPECT_FALSE(report["items"].empty());
    Json again = Client::doc("/site/site.fer");
    again["previousResultId"] = report["resultId"];
    EXPECT_EQ(c.ask("textDocument/diagnostic", again)["kind"], "unchanged");
    const Json all = c.ask("workspace/diagnostic", {{"previousResultIds", Json::array()}});
    EXPECT_EQ(all["items"].size(), 2U);
}

// Asked at once after an edit, before the findings are told: places are those of the text as it is, also where all that was found stays.
TEST(Server, AnswersByTheTextAsItIs) {
    Client c(two_files());
    c.start();
    c.open("/site/site.fer", site);
    const auto declared = [&](int line) { return c.ask("textDocument/definition", Client::in("/site/site.fer", line, 1))["range"]; };
    const Json before = declared(7);  // EAST
    c.replace("/site/site.fer", {{"start", Client::at(1, 0)}, {"end", Client::at(1, 0)}}, "# 🌞 a line more\n\n");
    Json moved = declared(9);
    for (const char* end : {"start", "end"}) moved[end]["line"] = moved[end]["line"].get<int>() - 2;
    EXPECT_EQ(moved, before);
    c.replace("/site/site.fer", {{"start", Client::at(1, 0)}, {"end", Client::at(3, 0)}}, "");
    EXPECT_EQ(declared(7), before);
}

TEST(Server, CountsCharactersAsTheClientDoes) {
    Client c(two_files());
    c.start();
    c.open("/site/site.fer", site);
    // Behind the emoji: an insertion at the end of the line in UTF-16 units, far outside, and with the ends exchanged.
    const int end = 41;  // `EAST.+ -> Q1.1 6 mm2 copper red 5 m  # Ω 🌞` has 41 + 2 units
    c.replace("/site/site.fer", {{"start", Client::at(7, end)}, {"end", Client::at(7, end)}}, "x");
    c.replace("/site/site.fer", {{"start", Client::at(7, 9999)}, {"end", Client::at(7, 9999)}}, "y");
    c.replace("/site/site.fer", {{"start", Client::at(99, 0)}, {"end", Client::at(99, 0)}}, "# end 🌞\n");
    c.replace("/site/site.fer", {{"start", Client::at(5, 8)}, {"end", Client::at(5, 7)}}, "");
    c.settle();
    const Json symbols = c.ask("textDocument/documentSymbol", Client::doc("/site/site.fer"));
    ASSERT_TRUE(symbols.is_array());
    EXPECT_TRUE(std::any_of(symbols.begin(), symbols.end(), [](const Json& s) { return s["name"] == "EST" || s["name"] == "AST" || s["name"] == "EAST"; })) << symbols.dump();
}

TEST(Server, HoversOverPropertiesThingsRulesUnits) {
    Client c(two_files());
    c.start();
    c.open("/site/site.fer", site);
    const auto page = [&](const std::string& path, int line, int character) {
        const Json h = c.ask("textDocument/hover", Client::in(path, line, character));
        return h.is_object() && h.contains("contents") ? h["contents"]["value"].get<std::string>() : std::string("none: ") + h.dump();
    };
    EXPECT_NE(page("/site/parts.fer", 2, 26).find("open-circuit voltage"), std::string::npos) << page("/site/parts.fer", 2, 26);
    EXPECT_NE(page("/site/site.fer", 5, 8).find("voc-coldest"), std::string::npos);
    EXPECT_NE(page("/site/site.fer", 5, 8).find("9 x 40 V"), std::string::npos);  // the working
    EXPECT_NE(page("/site/site.fer", 5, 21).find("module"), std::string::npos);
    EXPECT_NE(page("/site/site.fer", 4, 2).find("a room, roof"), std::string::npos);
    EXPECT_NE(page("/site/parts.fer", 3, 17).find("isolator"), std::string::npos);
}

TEST(Server, CompletesNamesPropertiesTerminalsUnits) {
    Client c(two_files());
    c.start();
    const auto offered = [&](const std::string& line) {
        const std::string text = site + line;
        c.open("/site/site.fer", text);
        const Json list = c.ask("textDocument/completion", Client::in("/site/site.fer", 12, static_cast<int>(line.size())));
        std::vector<std::string> labels;
        if (list.is_object() && list.contains("items")) {
            for (const Json& i : list["items"]) labels.push_back(i["label"]);
        }
        return labels;
    };
    EXPECT_TRUE(holds(offered("Q1."), "4"));
    EXPECT_TRUE(holds(offered("dev"), "device"));
    EXPECT_TRUE(holds(offered("device Q2 is "), "SW-2P"));
    EXPECT_TRUE(holds(offered("device Q2 is SW-2P in "), "HUT"));
    EXPECT_FALSE(holds(offered("device Q2 is SW-2P in "), "EAST"));
    EXPECT_TRUE(holds(offered("part X is "), "isolator"));
    EXPECT_TRUE(holds(offered("accept "), "voltage.cold-input"));
    EXPECT_TRUE(holds(offered("Q1.2 -> Q1.4 6 mm2 copper re"), "red"));
    EXPECT_TRUE(holds(offered("string W is 3 x "), "PM-400"));
    EXPECT_TRUE(holds(offered("place X { outdoors exp"), "exposed"));
    EXPECT_TRUE(holds(offered("place X { amb"), "ambient"));
    EXPECT_TRUE(holds(offered("place X { ambient 5 "), "degC"));
    EXPECT_TRUE(offered("# a comment ").empty());
    const Json page = c.ask("completionItem/resolve", {{"label", "voltage.cold-input"}, {"data", {{"topic", "rule voltage.cold-input"}}}});
    EXPECT_NE(page["documentation"]["value"].get<std::string>().find("voltage.cold-input"), std::string::npos);
}

// The labels offered at the end of the last line that holds `mark`.
std::map<std::string, Json> offered_behind(const std::string& text, const std::string& mark) {
    Client c;
    c.start();
    c.open("/site/a.fer", text);
    const std::size_t at = text.rfind(mark) + mark.size(), line = text.rfind('\n', at - 1) + 1;
    const Json list = c.ask("textDocument/completion", Client::in("/site/a.fer", static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n')), static_cast<int>(at - line)));
    std::map<std::string, Json> all;
    for (const Json& i : list["items"]) all[i["label"]] = i["textEdit"];
    return all;
}

TEST(Server, CompletesWhatBelongsThere) {
    const std::string head = R"(edition 1
place ROOM { indoors dry }
part BAR is busbar { ways 4; rated 60 V 100 A }
part CON is connector { rated 60 V 10 A }
part CAB is cable { section 6 mm2 copper }
assembly COMB {
    device F[1..2], G is BAR
    port in[1..2]+ is F[1..2].1
    port out+ is G.1
}
device C[1..3] is COMB in ROOM
device D is BAR in ROOM
enclosure BOX in ROOM { entry E[1..2] bottom }
run WAY { length 2 m }
)";
    const auto offered = [&](const std::string& line) { return offered_behind(head + line, line); };
    const auto on = offered("accept conductor.torque on ");
    EXPECT_TRUE(on.contains("D") && on.contains("BOX") && !on.contains("because"));
    EXPECT_TRUE(offered("accept conductor.torque on D, ").contains("C"));
    EXPECT_TRUE(offered("accept conductor.torque on D ").contains("because"));
    const auto ports = offered("C[1].");
    EXPECT_TRUE(ports.contains("in2+") && ports.contains("out+") && !ports.contains("F"));
    EXPECT_TRUE(offered("except C[1].").contains("F"));
    EXPECT_TRUE(offered("except C[1].F[1].").contains("4"));
    const auto index = offered("C[");
    EXPECT_EQ(index.size(), 4U);  // 1, 2, 3 and all of them
    EXPECT_EQ(index.at("2")["newText"], "2]");
    EXPECT_EQ(index.at("1..3")["range"]["start"]["character"], 2);
    EXPECT_TRUE(offered("D.1 -> D.2 CAB by BOX.E[").contains("2"));
    const auto by = offered("D.1 -> D.2 CAB by ");
    EXPECT_TRUE(by.contains("BOX") && !by.contains("CAB") && !by.contains("red"));
    EXPECT_TRUE(offered("D.1 -> D.2 CAB via ").contains("WAY"));
    EXPECT_TRUE(offered("D.1 -> D.2 CAB at ").contains("D"));
    EXPECT_TRUE(offered("D.1 -> D.2 CAB core ").empty());
    const auto ends = offered("D.1 -> D.2 CAB ends CON, ");
    EXPECT_TRUE(ends.contains("CON") && ends.contains("ferrule") && !ends.contains("CAB"));
    const auto unit = offered("D.1 -> D.2 6");
    EXPECT_EQ(unit.at("mm2")["newText"], " mm2");  // the number stays
    EXPECT_EQ(unit.at("mm2")["range"]["start"]["character"], 12);
    EXPECT_FALSE(unit.contains("red"));
    EXPECT_TRUE(offered("part M is module { voc 26").contains("V"));
    // Inside an assembly, though nothing is made of it yet.
    const auto inner = [&](const std::string& line) { return offered_behind(head + "assembly OTHER {\n    device H, K is BAR\n    " + line + "\n}\n", line); };
    for (const char* line : {"H.1 -> ", "port x is "}) {
        const auto own = inner(line);
        EXPECT_TRUE(own.contains("H") && own.contains("K") && !own.contains("D")) << line;
    }
    EXPECT_TRUE(inner("H.1 -> K.").contains("4"));
    EXPECT_TRUE(inner("device L is BAR in ").contains("ROOM"));
}

// The text after renaming what stands at the n-th place (from 0) of `name`, or why not.
std::string renamed(const std::string& text, const std::string& name, const std::string& to, int nth = 0) {
    Client c;
    c.start();
    c.open("/site/a.fer", text);
    std::size_t at = text.find(name);
    for (; nth > 0; --nth) at = text.find(name, at + 1);
    const std::size_t line = text.rfind('\n', at) + 1;
    Json params = Client::in("/site/a.fer", static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n')), static_cast<int>(at - line));
    params["newName"] = to;
    const Json answer = c.ask("textDocument/rename", params);
    if (answer.contains("error")) return answer["error"]["message"];
    std::map<std::size_t, std::size_t> places;  // begin and end
    for (const Json& e : answer["documentChanges"][0]["edits"]) {
        std::size_t begin = 0;
        for (int l = e["range"]["start"]["line"]; l > 0; --l) begin = text.find('\n', begin) + 1;
        places[begin + e["range"]["start"]["character"].get<std::size_t>()] = begin + e["range"]["end"]["character"].get<std::size_t>();
    }
    std::string now = text;
    for (auto p = places.rbegin(); p != places.rend(); ++p) now.replace(p->first, p->second - p->first, to);
    return now;
}

std::string with_for(std::string text, const std::string& name, const std::string& to) {
    for (std::size_t at = 0; (at = text.find(name, at)) != std::string::npos; at += to.size()) text.replace(at, name.size(), to);
    return text;
}

TEST(Server, RenamesAllOfANameAndNothingElse) {
    // Terminals that no data sheet names come with the part, and keep their own labels.
    const std::string part = "edition 1\nplace ROOM { indoors dry }\npart BATT is battery { chemistry lead-agm; nominal 12 V; capacity 100 Ah }\n"
                             "device B1, B2 is BATT in ROOM\nB1.+ -> B2.+ 6 mm2 copper red 1 m\nB1.- -> B2.- 6 mm2 copper black 1 m\n";
    EXPECT_EQ(renamed(part, "BATT", "AGM"), with_for(part, "BATT", "AGM"));
    EXPECT_EQ(renamed(part, "B1", "AGM", 1), with_for(part, "B1", "AGM"));
    Client c;
    c.start();
    c.open("/site/a.fer", part);
    EXPECT_TRUE(c.ask("textDocument/prepareRename", Client::in("/site/a.fer", 4, 3)).is_null());
    Json label = Client::in("/site/a.fer", 4, 3);
    label["context"] = {{"includeDeclaration", false}};
    EXPECT_EQ(c.ask("textDocument/references", label).size(), 2U);  // the two +, neither the - nor the part
    EXPECT_EQ(c.ask("textDocument/definition", Client::in("/site/a.fer", 4, 3))["range"], Client::span(2, 5, 9));

    // What differs is still what it is declared as.
    const std::string bars = "edition 1\nplace ROOM { indoors dry }\npart BAR is busbar { ways 4; rated 60 V 100 A }\npart BAR2 is busbar { ways 6; rated 60 V 100 A }\n";
    const std::string except = bars + "device F[1..2] is BAR in ROOM\nexcept F[2] is BAR2 \"out of stock\"\nF[1].1 -> F[2].5 6 mm2 copper red 1 m\n";
    for (int nth = 0; nth < 4; ++nth) EXPECT_EQ(renamed(except, "F[", "NEW", nth), with_for(except, "F[", "NEW[")) << nth;
    const std::string inside = bars + "assembly COMB {\n    device F[1..2] is BAR\n    F[1].2 -> F[2].2 6 mm2 copper red 0.2 m\n    port in[1..2]+ is F[1..2].1\n}\n"
                                      "device C[1..2] is COMB in ROOM\nC[1].in1+ -> C[1].in2+ 6 mm2 copper red 1 m\nexcept C[2].F[1] is BAR2 \"out of stock\"\n";
    for (int nth = 0; nth < 5; ++nth) EXPECT_EQ(renamed(inside, "F[", "NEW", nth), with_for(inside, "F[", "NEW[")) << nth;

    // Several lines may declare one array.
    const std::string array = bars + "device F[1] is BAR in ROOM\ndevice F[2] is BAR in ROOM\nF[1..2].1 -> F[1..2].2 6 mm2 copper red 1 m\nF[1].3 -> F[2].3 6 mm2 copper red 1 m\n";
    for (int nth = 0; nth < 6; ++nth) EXPECT_EQ(renamed(array, "F[", "NEW", nth), with_for(array, "F[", "NEW[")) << nth;
}

TEST(Server, FindsAndRenamesAcrossFiles) {
    Client c(two_files());
    c.start();
    c.open("/site/site.fer", site);
    const Json there = c.ask("textDocument/definition", Client::in("/site/site.fer", 6, 15));
    EXPECT_EQ(there["uri"], "file:///site/parts.fer");
    EXPECT_EQ(there["range"], Client::span(3, 5, 10));
    EXPECT_EQ(c.ask("textDocument/definition", Client::in("/site/site.fer", 2, 12))["uri"], "file:///site/parts.fer");
    Json params = Client::in("/site/site.fer", 7, 1);  // EAST
    params["context"] = {{"includeDeclaration", true}};
    EXPECT_EQ(c.ask("textDocument/references", params).size(), 3U);
    EXPECT_EQ(c.ask("textDocument/documentHighlight", Client::in("/site/site.fer", 7, 1)).size(), 3U);
    EXPECT_EQ(c.ask("textDocument/prepareRename", Client::in("/site/site.fer", 7, 1))["placeholder"], "EAST");
    EXPECT_TRUE(c.ask("textDocument/prepareRename", Client::in("/site/site.fer", 7, 13)).is_null());  // a terminal's label
    // A part, from the place that uses it: both files.
    Json rename = Client::in("/site/site.fer", 5, 22);
    rename["newName"] = "PM-NEW";
    const Json edit = c.ask("textDocument/rename", rename);
    ASSERT_EQ(edit["documentChanges"].size(), 2U) << edit.dump(1);
    for (const Json& doc : edit["documentChanges"]) {
        const bool open = doc["textDocument"]["uri"] == "file:///site/site.fer";
        EXPECT_EQ(doc["textDocument"]["version"].is_null(), !open);
        EXPECT_EQ(doc["edits"].size(), 1U);
        EXPECT_EQ(doc["edits"][0]["newText"], "PM-NEW");
    }
    for (const char* bad : {"device", "9X", "a b", "X-", "Q1", ""}) {
        rename["newName"] = bad;
        EXPECT_EQ(c.ask("textDocument/rename", rename)["error"]["code"], -32602) << bad;
    }
}

TEST(Server, MendsAndAccepts) {
    Client c;
    c.start();
    const std::string text = "edition 1\npart C is cable { section 2,5 mm2 copper }\nplace A { outdoors exposed }\ndevice Q is PM in AA\n";
    c.open("/site/a.fer", text);
    Json params = Client::doc("/site/a.fer");
    params["range"] = {{"start", Client::at(0, 0)}, {"end", Client::at(9, 0)}};
    params["context"] = {{"diagnostics", Json::array()}};
    const Json all = c.ask("textDocument/codeAction", params);
    const auto titled = [&](const std::string& part) {
        return std::any_of(all.begin(), all.end(), [&](const Json& a) { return a["title"].get<std::string>().find(part) != std::string::npos; });
    };
    EXPECT_TRUE(titled("write `.` for `,`")) << all.dump(1);
    params["context"]["only"] = {"source.fixAll"};
    const Json fix = c.ask("textDocument/codeAction", params);
    ASSERT_EQ(fix.size(), 1U) << fix.dump(1);
    EXPECT_EQ(fix[0]["edit"]["documentChanges"][0]["edits"].size(), 1U) << fix.dump(1);  // the guess at a name is no certain edit

    Client d(two_files());
    d.start();
    d.open("/site/site.fer", site);
    Json where = Client::doc("/site/site.fer");
    where["range"] = {{"start", Client::at(0, 0)}, {"end", Client::at(9, 0)}};
    where["context"] = {{"diagnostics", Json::array()}, {"only", {"quickfix"}}};
    const Json actions = d.ask("textDocument/codeAction", where);
    const auto accept = std::find_if(actions.begin(), actions.end(), [](const Json& a) { return a["title"].get<std::string>().starts_with("accept "); });
    ASSERT_NE(accept, actions.end());
    const std::string written = (*accept)["edit"]["documentChanges"][0]["edits"][0]["newText"];
    EXPECT_NE(written.find("because \"\""), std::string::npos) << written;
    EXPECT_FALSE(accept->contains("isPreferred"));
}

// What the quick fix writes, with a reason filled in, accepts the finding it stands at and no other.
TEST(Server, AcceptsThatFindingAndNoOther) {
    const std::string text = R"(edition 1
site "Hut" { standard iec-62548; coldest -18 degC; hottest 34 degC }
place FIELD { outdoors exposed }
place HUT { indoors dry }
part PM is module { voc 26 V, -0.28 %/K; isc 5.9 A; max-system 600 V; max-fuse 15 A; frame none }
part CC is controller { type mppt; isolated no; torque 1 N.m; port pv is array { max-voltage 80 V }; port bat is battery { nominal 12 V } }
string EAST is 3 x PM on FIELD
string WEST is 3 x PM on FIELD
device M1 is CC in HUT
device M2 is CC in HUT
EAST.+ -> M1.pv+ 6 mm2 copper red 5 m
EAST.- -> M1.pv- 6 mm2 copper black 5 m
WEST.+ -> M2.pv+ 6 mm2 copper red 5 m
WEST.- -> M2.pv- 6 mm2 copper black 5 m
)";
    const std::string rule = "voltage.cold-input";
    const auto accepted = [&](const std::string& more, const std::string& outside = {}) {
        Client c({{"/site/ferrule.toml", "acceptances = \"a.toml\"\n"}, {"/site/a.toml", outside}});
        c.start();
        c.open("/site/a.fer", text + more);
        std::pair<int, int> count;
        for (const Json& d : c.diagnostics("/site/a.fer")) {
            EXPECT_NE(d["code"], "design.accept-unused");
            EXPECT_NE(d["code"], "design.wrong-kind") << d.dump();
            if (d["code"] == rule) ++(d["severity"] == 4 ? count.first : count.second);
        }
        return count;
    };
    ASSERT_EQ(accepted("").second, 2) << "one at each string";
    Client c;
    c.start();
    c.open("/site/a.fer", text);
    Json at, where = Client::doc("/site/a.fer");
    for (const Json& d : c.diagnostics("/site/a.fer")) at = d["code"] == rule ? d : at;
    where["range"] = at["range"];
    where["context"] = {{"diagnostics", Json::array()}, {"only", {"quickfix"}}};
    std::string line;
    for (const Json& a : c.ask("textDocument/codeAction", where)) {
        if (a["title"].get<std::string>().starts_with("accept " + rule)) line = a["edit"]["documentChanges"][0]["edits"][0]["newText"];
    }
    ASSERT_NE(line.find("because \"\""), std::string::npos) << line;
    line.insert(line.find("\"\"") + 1, "a trial");
    EXPECT_EQ(accepted(line), (std::pair{1, 1})) << line;
    EXPECT_EQ(accepted("accept voltage.cold-input on M1.pv because \"a trial\"\n"), (std::pair{1, 1}));  // as the finding names it
    EXPECT_EQ(accepted("", "[[accept]]\nrule = \"voltage.cold-input\"\non = \"M2.pv\"\nbecause = \"a trial\"\n"), (std::pair{1, 1}));
}

TEST(Server, LaysOutWholeFilesAndRanges) {
    Client c;
    c.start();
    c.open("/site/a.fer", "edition 1\nplace A { outdoors exposed }\nplace   B   { indoors dry }\nplace   C   { indoors dry }\n");
    const Json all = c.ask("textDocument/formatting", Client::doc("/site/a.fer"));
    EXPECT_FALSE(all.empty());
    Json part = Client::doc("/site/a.fer");
    part["range"] = {{"start", Client::at(3, 0)}, {"end", Client::at(3, 5)}};
    const Json one = c.ask("textDocument/rangeFormatting", part);
    for (const Json& e : one) EXPECT_GE(e["range"]["start"]["line"], 3);
    c.open("/site/b.fer", "edition 1\nplace A {{{ \n");
    EXPECT_TRUE(c.ask("textDocument/formatting", Client::doc("/site/b.fer")).is_null());  // what cannot be read is left alone
}

TEST(Server, PaintsFoldsSelectsLinks) {
    Client c(two_files());
    c.start();
    c.open("/site/site.fer", site);
    const Json full = c.ask("textDocument/semanticTokens/full", Client::doc("/site/site.fer"));
    ASSERT_EQ(full["data"].size() % 5, 0U);
    EXPECT_GT(full["data"].size(), 100U);
    Json range = Client::doc("/site/site.fer");
    range["range"] = {{"start", Client::at(5, 0)}, {"end", Client::at(6, 0)}};
    EXPECT_EQ(c.ask("textDocument/semanticTokens/range", range)["data"][0], 5);
    c.replace("/site/site.fer", Client::span(5, 15, 16), "66");
    Json delta = Client::doc("/site/site.fer");
    delta["previousResultId"] = full["resultId"];
    const Json change = c.ask("textDocument/semanticTokens/full/delta", delta);
    ASSERT_EQ(change["edits"].size(), 1U) << change.dump();
    EXPECT_LT(change["edits"][0]["data"].size(), 20U);
    EXPECT_EQ(c.ask("textDocument/documentLink", Client::doc("/site/site.fer"))[0]["target"], "file:///site/parts.fer");
    Json select = Client::doc("/site/site.fer");
    select["positions"] = Json::array({Client::at(7, 1)});
    const Json around = c.ask("textDocument/selectionRange", select);
    EXPECT_TRUE(around[0].contains("parent"));
    const Json hints = c.ask("textDocument/inlayHint", {{"textDocument", {{"uri", "file:///site/site.fer"}}}, {"range", {{"start", Client::at(0, 0)}, {"end", Client::at(20, 0)}}}});
    ASSERT_FALSE(hints.empty());
    EXPECT_NE(hints[0]["label"].get<std::string>().find(" V"), std::string::npos);
    // Each of the things that are to have figures has some, behind its own place.
    std::set<std::string> tables;
    for (const Json& h : hints) tables.insert(h["data"]["table"].get<std::string>());
    EXPECT_EQ(tables, (std::set<std::string>{"string", "conductor", "point"})) << hints.dump(1);
    const Json shown = c.ask("inlayHint/resolve", hints[0]);
    EXPECT_TRUE(shown["tooltip"].is_object()) << shown.dump();
    c.tell("workspace/didChangeConfiguration", {{"settings", {{"ferrule", {{"inlayHints", false}}}}}});
    EXPECT_TRUE(c.ask("textDocument/inlayHint", {{"textDocument", {{"uri", "file:///site/site.fer"}}}, {"range", {{"start", Client::at(0, 0)}, {"end", Client::at(20, 0)}}}}).empty());
    EXPECT_FALSE(c.ask("workspace/symbol", {{"query", "sw-2"}}).empty());
}

TEST(Server, DoesNotCarryOutWhatWasCancelled) {
    Client c(two_files());
    c.start();
    c.said.clear();
    c.cancel(7001);
    c.raw(Json({{"jsonrpc", "2.0"}, {"id", 7001}, {"method", "textDocument/hover"}, {"params", Client::in("/site/site.fer", 0, 0)}}).dump());
    EXPECT_EQ(c.said.back()["error"]["code"], -32800);
}

TEST(Server, FollowsTheSettingsOfAProject) {
    auto files = two_files();
    files["/site/ferrule.toml"] = "[severity]\n\"dc-rating.breaking-voltag\" = \"warning\"\n";
    Client c(files);
    c.start();
    c.open("/site/site.fer", site);
    EXPECT_EQ(codes(c.diagnostics("/site/ferrule.toml")), std::vector<std::string>{"settings.project"});
    EXPECT_FALSE(holds(codes(c.diagnostics("/site/site.fer")), "dc-rating.breaking-voltage"));  // nothing is judged by half the settings
    // Put right: the mistake goes, the findings come, an acceptance from outside counts.
    c.said.clear();
    c.files.files["/site/ferrule.toml"] = "acceptances = \"lived-with.toml\"\n";
    c.files.files["/site/lived-with.toml"] = "[[accept]]\nrule = \"dc-rating.breaking-voltage\"\non = \"Q1\"\nbecause = \"a trial\"\nuntil = \"2027-01-01\"\nby = \"the tester\"\n";
    c.tell("workspace/didChangeWatchedFiles", {{"changes", {{{"uri", "file:///site/ferrule.toml"}, {"type", 2}}}}});
    c.settle();
    EXPECT_TRUE(codes(c.diagnostics("/site/ferrule.toml")).empty());
    bool accepted = false;
    for (const Json& d : c.diagnostics("/site/site.fer")) accepted |= d["code"] == "dc-rating.breaking-voltage" && d["severity"] == 4;
    EXPECT_TRUE(accepted) << c.diagnostics("/site/site.fer").dump(1);
}

TEST(Server, TellsOfMistakesInHouseRulesAndTakesThemBack) {
    auto files = two_files();
    files["/site/ferrule.toml"] = "rules = [\"house\"]\n";
    files["/site/house/a.toml"] = "garbage [\n";
    const auto mend = [](Client& c, const std::string& text) {
        c.files.files["/site/house/a.toml"] = text;
        c.tell("workspace/didChangeWatchedFiles", {{"changes", {{{"uri", "file:///site/house/a.toml"}, {"type", 2}}}}});
        c.settle();
    };
    const std::string good = R"(id = "house.note"
title = "a rule of the house"
severity = "note"
about = "device"
require = "torque-stated"
message = "no torque is stated for {device}"
remedy = "state it"
why = "a trial"
[[source]]
status = "common practice, no source"
)";
    Client c(files);
    c.start();
    const Json mistakes = c.diagnostics("/site/house/a.toml");
    ASSERT_FALSE(codes(mistakes).empty()) << mistakes.dump();
    EXPECT_FALSE(mistakes[0].contains("codeDescription"));  // there is no such page
    const Json told = c.diagnostics("/site/site.fer");
    ASSERT_EQ(told.size(), 1U) << told.dump(1);  // it must not look right
    EXPECT_NE(told[0]["message"].get<std::string>().find("nothing is judged here"), std::string::npos);
    c.said.clear();
    mend(c, good);
    EXPECT_EQ(c.diagnostics("/site/house/a.toml"), Json::array());
    EXPECT_TRUE(holds(codes(c.diagnostics("/site/site.fer")), "dc-rating.breaking-voltage"));

    Client p(files);
    p.start({}, {{"textDocument", {{"diagnostic", Json::object()}}}});
    const auto pulled = [&](const Json& before) {
        std::map<std::string, Json> all;
        const Json answer = p.ask("workspace/diagnostic", {{"previousResultIds", before}});
        for (const Json& r : answer["items"]) all[r["uri"]] = r;
        return all;
    };
    auto reports = pulled(Json::array());
    ASSERT_TRUE(reports.contains("file:///site/house/a.toml"));
    EXPECT_FALSE(reports["file:///site/house/a.toml"]["items"].empty());
    Json before = Json::array();
    for (const auto& [uri, r] : reports) before.push_back({{"uri", uri}, {"value", r["resultId"]}});
    mend(p, good);
    reports = pulled(before);
    ASSERT_TRUE(reports.contains("file:///site/house/a.toml"));  // that it is right now must be said
    EXPECT_EQ(reports["file:///site/house/a.toml"]["items"], Json::array());
}

TEST(Server, ForgetsAFolderThatIsTakenAway) {
    Client c({{"/site/b.fer", "edition 1\ninclude \"parts.fer\"\ndevice X is Y\n"}, {"/site/parts.fer", parts + "device Z is Y\n"}, {"/site/open.fer", "edition 1\ndevice X is Y\n"}});
    c.start();
    c.open("/site/open.fer", "edition 1\ndevice X is Y\n");
    ASSERT_FALSE(codes(c.diagnostics("/site/b.fer")).empty());
    c.said.clear();
    c.tell("workspace/didChangeWorkspaceFolders", {{"event", {{"removed", {{{"uri", "file:///site"}, {"name", "site"}}}}, {"added", Json::array()}}}});
    c.settle();
    EXPECT_EQ(c.diagnostics("/site/b.fer"), Json::array());
    EXPECT_EQ(c.diagnostics("/site/parts.fer"), Json::array());
    EXPECT_FALSE(codes(c.ask("textDocument/diagnostic", Client::doc("/site/open.fer"))["items"]).empty());  // an open document is still looked after
}

TEST(Server, LivesWithDocumentsThatWereNeverSaved) {
    Client c;
    c.start();
    c.tell("textDocument/didOpen", {{"textDocument", {{"uri", "untitled:Untitled-1"}, {"version", 1}, {"text", "edition 1\ndevice X is Y in Z\n"}}}});
    c.settle();
    bool told = false;
    for (const Json& m : c.said) told |= m.value("method", "") == "textDocument/publishDiagnostics" && m["params"]["uri"] == "untitled:Untitled-1" && !m["params"]["diagnostics"].empty();
    EXPECT_TRUE(told);
}

}  // namespace

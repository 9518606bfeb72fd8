#include "facts/weather.hpp"

#include <fmt/core.h>

#include <cmath>
#include <vector>

namespace ferrule::facts {

namespace {

using graph::Design;
using graph::ThingId;

constexpr std::string_view enclosure_types = "enclosure-types";

bool in_the_air(const Design& d, ThingId place, std::string_view what) {
    const graph::RowId air = d.row(d.things[place].rows, "atmosphere");
    if (!air) return false;
    for (const graph::FieldId f : d.rows[air].fields) {
        if (d.word(d.fields[f].text) == what) return true;
    }
    return false;
}

// What a place brings, by the columns of the table of types.
std::vector<std::string_view> brings(const Design& d, ThingId place) {
    std::vector<std::string_view> out;
    const auto rows = d.things[place].rows;
    const std::string_view water = d.text(rows, "water", "kind");
    const bool outdoors = d.states(rows, "outdoors");
    if (outdoors) out.push_back(d.text(rows, "outdoors", "exposure") == "sheltered" ? "outdoors" : "rain");
    if (outdoors && in_the_air(d, place, "dust")) out.push_back("dust");
    if (outdoors && in_the_air(d, place, "salt")) out.push_back("corrosion");
    if (water == "hose" || water == "waves" || water == "spray" || d.text(rows, "indoors", "condition") == "wet") out.push_back("hose");
    if (water == "immersion") out.push_back("submersion");
    return out;
}

bool type_stands(const tables::FigureTable& types, std::string_view type, const std::vector<std::string_view>& brought) {
    for (const std::string_view what : brought) {
        const auto* cell = types.at("type", type, what);
        if (cell == nullptr || cell->word != "yes") return false;
    }
    return true;
}

struct Digits {
    double solids = 0, water = 0;
};

Digits digits_asked(Exposure e, const tables::Standard& standard) {
    const tables::FigureTable* table = standard.table("outdoor-ingress");
    const auto* solids = table == nullptr ? nullptr : table->at("exposure", word(e), "solids");
    const auto* water = table == nullptr ? nullptr : table->at("exposure", word(e), "water");
    if (solids == nullptr || water == nullptr) return {};
    return {solids->number, water->number};
}

}  // namespace

std::string_view word(Exposure e) {
    constexpr std::string_view words[] = {"indoors", "damp", "sheltered", "exposed", "wet", "immersion", "unknown"};
    return words[static_cast<std::size_t>(e)];
}

Exposure exposure_of(const Design& d, ThingId place) {
    if (!place) return Exposure::unknown;
    const auto rows = d.things[place].rows;
    const std::string_view water = d.text(rows, "water", "kind");
    if (water == "immersion") return Exposure::immersion;
    if (water == "hose" || water == "waves" || water == "spray") return Exposure::wet;
    if (d.states(rows, "outdoors")) {
        if (in_the_air(d, place, "salt")) return Exposure::wet;
        const std::string_view how = d.text(rows, "outdoors", "exposure");
        return how == "sheltered" ? Exposure::sheltered : Exposure::exposed;
    }
    if (d.states(rows, "indoors")) {
        const std::string_view how = d.text(rows, "indoors", "condition");
        return how == "wet" ? Exposure::wet : how == "damp" ? Exposure::damp : Exposure::indoors;
    }
    return Exposure::unknown;
}

std::string Ingress::shown() const {
    if (type) return fmt::format("Type {}", code);
    return read() ? std::string(code) : std::string();
}

// IP65 -> 6 and 5; an X stands for a digit that was not tested (IEC 60529).
Ingress read_ingress(std::string_view code, const tables::Standard& standard) {
    Ingress out;
    out.code = code;
    if (code.substr(0, 2) != "IP") {
        const tables::FigureTable* types = standard.table(enclosure_types);
        out.type = types != nullptr && types->at("type", code, "outdoors") != nullptr;
        return out;
    }
    if (code.size() < 4) return out;
    auto digit = [](char c) { return c >= '0' && c <= '9' ? static_cast<double>(c - '0') : c == 'X' ? 0.0 : graph::unknown; };
    out.solids = digit(code[2]);
    out.water = digit(code[3]);
    return out;
}

Answer keeps_out(const Design& d, const Ingress& ingress, ThingId place, const tables::Standard& standard) {
    const Exposure e = exposure_of(d, place);
    if (e == Exposure::unknown || !ingress.read()) return Answer::unknown;
    if (ingress.type) return type_stands(*standard.table(enclosure_types), ingress.code, brings(d, place)) ? Answer::yes : Answer::no;
    const Digits asked = digits_asked(e, standard);
    return ingress.solids >= asked.solids && ingress.water >= asked.water ? Answer::yes : Answer::no;
}

std::string asked_of(const Design& d, const Ingress& ingress, ThingId place, const tables::Standard& standard) {
    const Exposure e = exposure_of(d, place);
    if (e == Exposure::unknown) return {};
    if (!ingress.type) {
        const Digits asked = digits_asked(e, standard);
        return fmt::format("IP{}{} or more", asked.solids, asked.water);
    }
    const tables::FigureTable& types = *standard.table(enclosure_types);
    const std::vector<std::string_view> brought = brings(d, place);
    std::vector<std::string_view> suited;
    for (const auto& row : types.rows) {
        if (type_stands(types, row[0].word, brought)) suited.push_back(row[0].word);
    }
    std::string out = "Type ";
    for (std::size_t i = 0; i < suited.size(); ++i) {
        if (i != 0) out += i + 1 == suited.size() ? " or " : ", ";
        out += suited[i];
    }
    return out;
}

}  // namespace ferrule::facts

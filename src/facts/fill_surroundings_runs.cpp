// What lies together: weather on conductors, other systems in one run, the two poles of a circuit, the fill of a conduit.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <tuple>

#include "facts/surroundings.hpp"

namespace ferrule::facts {

namespace {

using graph::ConductorId;
using graph::ConductorRole;
using graph::PartId;
using graph::ThingClass;
using graph::ThingId;

enum class System : std::uint8_t { none, array, battery, alternating, signal };

// Alternating current and signals, per net with every switch on, from the ports and supplies on it.
std::vector<System> systems_of_nets(const Analysis& a) {
    std::vector<std::vector<System>> of_part(a.d.parts.size());
    for (const PartId id : a.d.parts.ids()) {
        const graph::Part& part = a.d.parts[id];
        std::vector<System>& of = of_part[id.value];
        for (std::size_t i = 0; i < part.terminals.size(); ++i) {
            const graph::TerminalTemplate& t = part.terminals[i];
            const std::string_view role = t.port == 0xffff ? std::string_view() : a.d.word(part.ports[t.port].role);
            System s = System::none;
            if (role == "ac-out" || role == "ac-in" || a.parts[id.value].kind == "supply") s = System::alternating;
            if (role == "sensor" || a.parts[id.value].kind == "sensor") s = System::signal;
            if (s == System::none || t.protective) continue;
            of.resize(part.terminals.size(), System::none);
            of[i] = s;
        }
    }
    std::vector<System> nets(a.net.on.count, System::none);
    for (const ThingId id : a.devices) {
        const graph::Thing& thing = a.d.things[id];
        const std::vector<System>& of = of_part[thing.part.value];
        for (std::size_t i = 0; i < of.size(); ++i) {
            if (of[i] != System::none) nets[a.net.on[thing.first_terminal.value + static_cast<std::uint32_t>(i)]] = of[i];
        }
    }
    return nets;
}

struct WeatherFit {
    Answer sunlight = Answer::unknown, wet = Answer::unknown;
};

// `outdoor` words decide; where there are none, the type code.
WeatherFit fit_of(const Analysis& a, PartId cable) {
    const auto rows = a.d.parts[cable].rows;
    WeatherFit fit;
    if (const graph::RowId row = a.d.row(rows, "outdoor"); row) {
        fit.sunlight = fit.wet = Answer::no;
        for (const graph::FieldId f : a.d.rows[row].fields) {
            const std::string_view word = a.d.word(a.d.fields[f].text);
            if (word == "sunlight") fit.sunlight = Answer::yes;
            if (word == "wet" || word == "buried") fit.wet = Answer::yes;
        }
        return fit;
    }
    const std::string_view type = a.d.text(rows, "type", "code");
    const tables::FigureTable* types = a.standard.table("outdoor-types");
    if (type.empty() || types == nullptr) return fit;
    const auto* sunlight = types->at("type", type, "sunlight");
    const auto* wet = types->at("type", type, "wet");
    if (sunlight != nullptr) fit.sunlight = sunlight->word == "yes" ? Answer::yes : Answer::no;
    if (wet != nullptr) fit.wet = wet->word == "yes" ? Answer::yes : Answer::no;
    return fit;
}

// Where weather is in a run.
struct RunWeather {
    std::uint32_t sunny = none, outdoors = none;  // rows of places
    bool through = false;                         // it says where it goes
    bool conduit = false, shaded = false, tray = false, divided = false;
    double bore = graph::unknown, length = graph::unknown;
};

std::vector<RunWeather> read_runs(const Analysis& a, const Surroundings& s) {
    std::vector<RunWeather> runs(a.runs.size());
    for (std::uint32_t r = 0; r < runs.size(); ++r) {
        const auto rows = a.d.things[a.runs[r]].rows;
        RunWeather& w = runs[r];
        w.bore = a.d.number(rows, "conduit", "diameter");
        w.length = a.d.number(rows, "length", "length");
        w.conduit = a.d.states(rows, "conduit");
        w.tray = a.d.states(rows, "tray");
        w.shaded = a.d.text(rows, "sun", "answer") == "no";
        w.divided = a.d.states(rows, "divided") && a.d.text(rows, "divided", "answer") != "no";
        const graph::RowId through = a.d.row(rows, "through");
        if (!through) continue;
        for (const graph::FieldId f : a.d.rows[through].fields) {
            const std::uint32_t id = a.d.fields[f].target;
            if (a.d.fields[f].type != graph::Accepts::thing || id == 0xffffffffU || a.place_row[id] == no_row) continue;
            w.through = true;
            const PlaceAir& p = s.places[a.place_row[id]];
            if (!p.outdoors) continue;
            if (w.outdoors == none) w.outdoors = a.place_row[id];
            if (p.sun != Answer::no && w.sunny == none) w.sunny = a.place_row[id];
        }
    }
    return runs;
}

class Contents {
public:
    Contents(Facts& facts, const Shared& a, const Surroundings& s)
        : facts_(facts), a_(a), s_(s), nets_(systems_of_nets(*a)), runs_(read_runs(*a, s)), cable_fill_(a->runs.size()) {
        const Table& t = *facts.table("conductor");
        source_ = &t.column("source")->words;
        role_ = &t.column("role")->words;
        polarity_ = &t.column("polarity")->words;
        array_ = facts.words.intern("array");
        battery_ = facts.words.intern("battery");
        power_ = facts.words.intern("power");
        plus_ = facts.words.intern("plus");
        minus_ = facts.words.intern("minus");
    }

    void fill() {
        for (const PartId p : a_->d.parts.ids()) {
            if (a_->parts[p.value].kind != "cable") continue;
            if (fits_.empty()) {
                fits_.resize(a_->d.parts.size());
                diameters_.assign(a_->d.parts.size(), graph::unknown);
            }
            fits_[p.value] = fit_of(*a_, p);
            diameters_[p.value] = a_->d.number(a_->d.parts[p].rows, "diameter", "length");
        }
        weather_and_systems();
        poles();
        conduits();
    }

private:
    using Cores = std::vector<std::tuple<std::uint32_t, std::uint32_t, std::uint32_t>>;  // run, named cable, conductor
    struct RunFill {
        std::uint32_t cables = 0;
        double squares = 0;             // m2: the sum of d x d
        std::uint32_t lacks = none;     // a conductor whose diameter is unknown
        std::uint32_t array = none, array_single = none, other = none;  // conductors; array_single: not a core of a cable
        System what = System::none;
    };

    [[nodiscard]] System system_of(std::uint32_t r, const graph::Conductor& c) const {
        if ((*role_)[r] != power_) return System::none;
        if ((*source_)[r] == array_) return System::array;
        if ((*source_)[r] == battery_) return System::battery;
        return nets_[a_->net.on[c.a.value]];
    }

    [[nodiscard]] bool within_a_box(const graph::Conductor& c) const {
        const ThingId a = a_->d.things[a_->d.terminals[c.a]].where, b = a_->d.things[a_->d.terminals[c.b]].where;
        return a && a == b && a_->d.things[a].cls == ThingClass::enclosure;
    }

    template <typename F>
    void each_run(const graph::Conductor& c, F&& f) const {
        for (std::uint32_t v = c.first_via; v < c.first_via + c.vias; ++v) f(a_->run_row[a_->d.vias[v].value]);
        if (c.vias == 0 && c.run) f(a_->run_row[c.run.value]);
    }

    // Of the runs and, where they do not say where they go, of the two ends: a place in the sun outside conduit, else one outdoors.
    struct Weather {
        std::uint32_t sunny = none, wet = none;
    };
    [[nodiscard]] Weather weather_of(const graph::Conductor& c) const {
        Weather w;
        if (within_a_box(c)) return w;
        bool said = false, conduit = false, shaded = false;
        each_run(c, [&](std::uint32_t run) {
            const RunWeather& r = runs_[run];
            said = said || r.through;
            conduit = conduit || r.conduit;
            shaded = shaded || r.shaded;
            if (r.conduit && r.outdoors != none) w.wet = r.outdoors;
            if (!r.conduit && !r.shaded && r.sunny != none) w.sunny = r.sunny;
        });
        if (said) return w;
        for (const graph::TerminalId t : {c.a, c.b}) {
            const ThingId place = place_of(a_->d, a_->d.terminals[t]);
            if (!place) continue;
            const PlaceAir& p = s_.places[a_->place_row[place.value]];
            if (!p.outdoors) continue;
            if (conduit) w.wet = a_->place_row[place.value];
            else if (!shaded && p.sun != Answer::no) w.sunny = a_->place_row[place.value];
        }
        return w;
    }

    void weather_and_systems() {
        Filler fill(facts_, "conductor");
        auto& in_weather = fill.flags("in-weather");
        auto& in_conduit = fill.flags("in-wet-conduit");
        auto& fit = fill.flags("weatherproof");
        auto& weather = fill.column("weather").words;
        std::vector<base::Symbol> names(a_->places.size());
        Cores cores;
        for (std::uint32_t r = 0; r < a_->d.conductors.size(); ++r) {
            const graph::Conductor& c = a_->d.conductors[ConductorId(r)];
            if (c.role == ConductorRole::jumper) continue;
            const System system = system_of(r, c);
            each_run(c, [&](std::uint32_t run) { into_run(run, r, c, system, cores); });
            if (system != System::array) continue;
            const Weather w = weather_of(c);
            if (w.sunny == none && w.wet == none) continue;
            const WeatherFit made = c.cable ? fits_[c.cable.value] : WeatherFit{};
            Answer does = made.sunlight;
            if (w.sunny == none && (made.wet == Answer::yes || does == Answer::unknown)) does = made.wet;
            in_weather[r] = w.sunny != none ? 1 : 0;
            in_conduit[r] = w.sunny == none ? 1 : 0;
            fit[r] = does == Answer::yes ? 1 : does == Answer::no ? 0 : flag_unknown;
            const std::uint32_t place = w.sunny != none ? w.sunny : w.wet;
            if (!names[place]) names[place] = facts_.words.intern(a_->d.name(a_->places[place]));
            weather[r] = names[place];
        }
        std::sort(cores.begin(), cores.end());
        for (std::size_t i = 0; i < cores.size(); ++i) {
            const auto& [run, cable, conductor] = cores[i];
            if (i != 0 && std::get<0>(cores[i - 1]) == run && std::get<1>(cores[i - 1]) == cable) continue;
            RunFill& f = cable_fill_[run];
            ++f.cables;
            const double d = diameters_[a_->d.things[ThingId(cable)].part.value];
            if (!std::isnan(d)) f.squares += d * d;
            else if (f.lacks == none) f.lacks = conductor;
        }
        const Shared a = a_;
        fill.column("weatherproof").missing = [a](std::uint32_t row) {
            const graph::Conductor& c = a->d.conductors[ConductorId(row)];
            if (!c.cable) return Missing{"what cable this conductor is (name a cable part that states `outdoor` or `type`)", c.span};
            const graph::Part& part = a->d.parts[c.cable];
            return Missing{fmt::format("whether {} is made for sunlight and wet (`outdoor`, `type`)", a->d.word(part.name)), part.span};
        };
    }

    void into_run(std::uint32_t run, std::uint32_t r, const graph::Conductor& c, System system, Cores& cores) {
        if (run == no_row) return;
        RunFill& f = cable_fill_[run];
        if (c.named_cable) {
            cores.emplace_back(run, c.named_cable.value, r);
        } else {
            ++f.cables;
            const double d = c.cable ? diameters_[c.cable.value] : graph::unknown;
            if (!std::isnan(d)) f.squares += d * d;
            else if (f.lacks == none) f.lacks = r;
        }
        if (system == System::array) {
            if (f.array == none) f.array = r;
            if (f.array_single == none && !c.named_cable) f.array_single = r;
        } else if (system != System::none && f.other == none) {
            f.other = r;
            f.what = system;
        }
    }

    // The currents of a circuit add up to nothing in a run that holds both its poles. Where they do not, and another run has what is
    // missing, its poles lie apart.
    void poles() {
        struct Part {
            std::uint32_t circuit, run;
            double current;
            std::uint32_t conductor;
            std::uint32_t string;  // when it carries that of one alone
        };
        std::vector<Part> parts;
        const std::vector<base::Symbol>& polarity = *polarity_;
        for (std::uint32_t r = 0; r < a_->d.conductors.size(); ++r) {
            const graph::Conductor& c = a_->d.conductors[ConductorId(r)];
            if ((!c.run && c.vias == 0) || (*role_)[r] != power_ || (*source_)[r] != array_) continue;
            const double sign = polarity[r] == plus_ ? 1 : polarity[r] == minus_ ? -1 : 0;
            if (sign == 0 || within_a_box(c)) continue;
            const Feed& f = a_->feeds.of(a_->edge_of[r]);
            if (f.strings == 0 || !(f.isc > 0)) continue;
            const std::uint32_t circuit = a_->circuit_of(c.a.value);
            each_run(c, [&](std::uint32_t run) {
                if (run != no_row) parts.push_back({circuit, run, sign * f.isc, r, f.one});
            });
        }
        std::sort(parts.begin(), parts.end(), [](const Part& x, const Part& y) {
            return std::tie(x.circuit, x.run, x.conductor) < std::tie(y.circuit, y.run, y.conductor);
        });
        Filler fill(facts_, "conductor");
        auto& apart = fill.flags("poles-apart");
        auto& companion = fill.subjects("companion");
        std::vector<Part> excess;  // of one circuit: run by run, with its first conductor of that pole
        for (std::size_t i = 0; i < parts.size();) {
            const std::uint32_t circuit = parts[i].circuit;
            const std::size_t begin = i;
            excess.clear();
            while (i < parts.size() && parts[i].circuit == circuit) {
                Part sum = parts[i];
                double most = 0;
                std::size_t first_plus = i, first_minus = i;
                bool plus = false, minus = false;
                sum.current = 0;
                for (; i < parts.size() && parts[i].circuit == circuit && parts[i].run == sum.run; ++i) {
                    sum.current += parts[i].current;
                    most += std::fabs(parts[i].current);
                    bool& seen = parts[i].current > 0 ? plus : minus;
                    if (!seen) (parts[i].current > 0 ? first_plus : first_minus) = i;
                    seen = true;
                }
                if (std::fabs(sum.current) <= 0.01 * most) continue;
                const Part& first = parts[sum.current > 0 ? first_plus : first_minus];
                sum.conductor = first.conductor;
                sum.string = first.string;
                excess.push_back(sum);
            }
            for (const Part& x : excess) {
                if (x.current < 0) continue;
                const auto other = std::find_if(excess.begin(), excess.end(), [&](const Part& y) {
                    return y.current < 0 && std::fabs(x.current + y.current) <= 0.01 * x.current;
                });
                if (other == excess.end()) continue;
                // Of its conductors the one of the same string, if there is one.
                const auto same = std::find_if(parts.begin() + static_cast<std::ptrdiff_t>(begin), parts.begin() + static_cast<std::ptrdiff_t>(i), [&](const Part& y) {
                    return y.run == x.run && y.current > 0 && y.string != none && y.string == other->string;
                });
                const std::uint32_t conductor = same == parts.begin() + static_cast<std::ptrdiff_t>(i) ? x.conductor : same->conductor;
                apart[conductor] = 1;
                companion[conductor] = other->conductor;
            }
        }
    }

    void conduits() {
        Filler fill(facts_, "run");
        auto& shared = fill.flags("shared");
        auto& array = fill.subjects("array-conductor");
        auto& other = fill.subjects("other-conductor");
        auto& cables = fill.numbers("cables");
        auto& share = fill.numbers("fill");
        auto& most = fill.numbers("fill-most");
        auto& bore_least = fill.numbers("bore-least");
        auto& bore_needed = fill.numbers("bore-needed");
        const tables::FigureTable* allowed = a_->standard.table("conduit-fill");
        const tables::FigureTable* sizes = a_->standard.table("conduit-sizes");
        const double nipple = a_->standard.number("nipple-length");  // unknown where the standard has none
        for (std::uint32_t r = 0; r < runs_.size(); ++r) {
            const RunFill& f = cable_fill_[r];
            cables[r] = f.cables;
            if (f.array != none) array[r] = f.array;
            if (f.other != none) {
                other[r] = f.other;
                fill.set_word("other-system", r, f.what == System::battery ? "battery" : f.what == System::signal ? "signals" : "alternating current");
            }
            // Cores of a jacketed cable may share; single array conductors may not.
            shared[r] = f.array_single != none && f.other != none && (runs_[r].conduit || runs_[r].tray) && !runs_[r].divided ? 1 : 0;
            if (f.cables == 0 || allowed == nullptr) continue;
            if (const auto x = allowed->band(f.cables, "share")) most[r] = *x;
            if (runs_[r].length <= nipple) most[r] = a_->standard.number("nipple-fill");
            const double of_bore = runs_[r].bore * runs_[r].bore;
            // Too full with the cables that are known is too full.
            if (f.lacks == none || f.squares / of_bore > most[r]) share[r] = f.squares / of_bore;
            if (f.lacks != none) continue;
            bore_least[r] = std::sqrt(f.squares / most[r]);
            bore_needed[r] = std::ceil(bore_least[r] * 1e4 - 1e-6) / 1e4;
            if (sizes == nullptr) continue;
            const int size = sizes->column("size"), bore = sizes->column("bore");
            if (size < 0 || bore < 0) continue;
            for (const auto& row : sizes->rows) {
                if (row[static_cast<std::size_t>(bore)].number * (1 + 1e-9) < bore_least[r]) continue;
                fill.set_word("conduit-that-does", r,
                              fmt::format("{} ({} inside)", row[static_cast<std::size_t>(size)].word, a_->show(row[static_cast<std::size_t>(bore)].number, "mm")));
                break;
            }
        }
        const Shared a = a_;
        const auto fills = std::make_shared<const std::vector<RunFill>>(cable_fill_);
        fill.column("fill").missing = [a, fills](std::uint32_t row) {
            const RunFill& f = (*fills)[row];
            if (f.lacks == none) return Missing{"the inner diameter of the conduit", a->d.things[a->runs[row]].span};
            const graph::Conductor& c = a->d.conductors[ConductorId(f.lacks)];
            if (!c.cable) return Missing{"the diameter of this cable (name a cable part that states it)", c.span};
            return Missing{fmt::format("`diameter` of {}", a->d.word(a->d.parts[c.cable].name)), a->d.parts[c.cable].span};
        };
        fill.column("fill").working = [a, fills](std::uint32_t row) {
            const RunFill& f = (*fills)[row];
            const double bore = a->d.number(a->d.things[a->runs[row]].rows, "conduit", "diameter");
            return std::vector{fmt::format("{} cable{}: squares of their diameters {} in all / bore {} squared = {} %", f.cables, f.cables == 1 ? "" : "s",
                                           a->show(f.squares, "mm2"), a->show(bore, "mm"), units::show_number(100 * f.squares / (bore * bore)))};
        };
        fill.column("fill").assumed = [a, fills](std::uint32_t row) {
            const RunFill& f = (*fills)[row];
            if (f.lacks == none) return std::vector<std::string>{};
            return std::vector<std::string>{"cables whose diameter is not stated are left out"};
        };
    }

    Facts& facts_;
    const Shared& a_;
    const Surroundings& s_;
    std::vector<System> nets_;
    std::vector<RunWeather> runs_;
    std::vector<RunFill> cable_fill_;
    std::vector<WeatherFit> fits_;
    std::vector<double> diameters_;
    const std::vector<base::Symbol>*source_ = nullptr, *role_ = nullptr, *polarity_ = nullptr;
    base::Symbol array_, battery_, power_, plus_, minus_;
};

}  // namespace

void fill_run_contents(Facts& facts, const Shared& a, const Surroundings& s) { Contents(facts, a, s).fill(); }

}  // namespace ferrule::facts

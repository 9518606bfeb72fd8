#include <fmt/format.h>

#include "tables/entry.hpp"
#include "tables/kinds_file.hpp"

namespace ferrule::tables {

namespace {

using findings::Finding;

units::Dimension exponents(Entry& e) {
    const auto exponent = [&e](std::string_view key) { return static_cast<std::int8_t>(e.whole(key)); };
    return {exponent("volt"),   exponent("ampere"),   exponent("metre"), exponent("kelvin"),
            exponent("second"), exponent("kilogram"), exponent("angle")};
}

class UnitReader {
public:
    UnitsFile read(const Value& root) {
        Entry file(root, "the table of units", result_.findings);
        if (const Value* dimensions = file.table("dimension")) {
            for (const auto& [name, v] : dimensions->entries) dimension(name, v);
        }
        if (const Value* list = file.table("unit")) {
            for (const auto& [key, v] : list->entries) unit(key, v);
        }
        file.finish();
        for (Named& d : dimensions_) {
            d.dimension.shown_in = result_.units.find(d.shown_in);
            if (!d.dimension.shown_in || result_.units[d.dimension.shown_in].dimension_name != d.dimension.name) {
                complain(d.place, fmt::format("dimension {} is shown in `{}`, which is no unit of it", d.dimension.name, d.shown_in));
            }
            result_.units.add_dimension(std::move(d.dimension));
        }
        return std::move(result_);
    }

private:
    struct Named {
        units::DimensionName dimension;
        std::string shown_in;
        bool below_zero = false;
        text::Span place;
    };

    void dimension(const std::string& name, const Value& v) {
        Entry e(v, "dimension " + name, result_.findings);
        Named d;
        d.place = v.span;
        d.dimension.name = name;
        d.dimension.dimension = exponents(e);
        d.dimension.about = e.needed_text("about");
        d.shown_in = e.needed_text("shown-in");
        d.below_zero = e.flag("below-zero");
        e.finish();
        dimensions_.push_back(std::move(d));
    }

    void unit(const std::string& key, const Value& v) {
        Entry e(v, "unit " + key, result_.findings);
        units::Unit u;
        u.symbol = e.needed_text("symbol");
        u.spellings = e.words("spellings");
        u.dimension_name = e.needed_text("dimension");
        u.factor = e.number("factor").value_or(1);
        u.offset = e.number("offset").value_or(0);
        u.gauge = e.flag("gauge");
        u.about = e.needed_text("about");
        e.finish();
        const Named* of = nullptr;
        for (const Named& d : dimensions_) {
            if (d.dimension.name == u.dimension_name) of = &d;
        }
        if (of == nullptr) {
            e.complain("dimension", fmt::format("`{}` is no dimension of the table", u.dimension_name));
            return;
        }
        u.dimension = of->dimension.dimension;
        u.below_zero = of->below_zero;
        if (u.factor == 0) e.complain("factor", fmt::format("unit {} has the factor 0", key));
        std::vector<std::string> words = u.spellings;
        words.push_back(u.symbol);
        for (std::size_t i = 0; i < words.size(); ++i) {
            bool twice = static_cast<bool>(result_.units.find(words[i]));
            for (std::size_t j = 0; j < i; ++j) twice = twice || words[i] == words[j];
            if (twice) e.complain("symbol", fmt::format("`{}` stands for two units", words[i]));
        }
        result_.units.add(std::move(u));
    }

    void complain(text::Span place, std::string message) { result_.findings.push_back(table_finding(place, std::move(message))); }

    UnitsFile result_;
    std::vector<Named> dimensions_;
};

}  // namespace

UnitsFile read_units(const TomlFile& file) { return UnitReader().read(file.root); }

}  // namespace ferrule::tables

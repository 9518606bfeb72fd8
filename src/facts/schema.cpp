// The schema made from the columns of all fields.
#include <array>
#include <cassert>
#include <string_view>

#include "facts/columns.hpp"

namespace ferrule::facts {

namespace {

void add_citations(Column& column, std::string_view clauses) {
    while (!clauses.empty()) {
        const std::size_t end = clauses.find(';');
        std::string_view one = clauses.substr(0, end);
        clauses = end == std::string_view::npos ? std::string_view() : clauses.substr(end + 1);
        findings::Citation c;
        std::size_t bar = one.find('|');
        c.standard = one.substr(0, bar);
        one = one.substr(bar + 1);
        bar = one.find('|');
        c.clause = one.substr(0, bar);
        c.status = one.substr(bar + 1);
        column.sources.push_back(std::move(c));
    }
}

void add_column(Facts& facts, const Spec& spec, const units::Units& units) {
    Table* table = nullptr;
    for (Table& t : facts.tables) {
        if (t.subject == spec.table) table = &t;
    }
    assert(table != nullptr && "a column of a table that is not listed");
    assert(table->column(spec.name) == nullptr && "a column that is listed twice");
    Column column;
    column.name = spec.name;
    column.type = spec.type;
    column.about = spec.about;
    if (spec.type == Type::number && !spec.unit_or_target.empty()) {
        const units::DimensionName* d = units.dimension(spec.unit_or_target);
        assert(d != nullptr && "a dimension that grammar/units.toml does not have");
        if (d != nullptr) {
            column.dimension = d->dimension;
            column.shown_in = spec.shown_in.empty() ? d->shown_in : units.find(spec.shown_in);
        }
    }
    if (spec.type == Type::subject || spec.type == Type::subjects) column.target = spec.unit_or_target;
    column.not_applicable_is_false = spec.type == Type::subject;
    add_citations(column, spec.clauses);
    table->add(std::move(column));
}

}  // namespace

Column& Table::add(Column column) {
    by_name.emplace(column.name, static_cast<std::uint32_t>(columns.size()));
    columns.push_back(std::move(column));
    return columns.back();
}

const Column* Table::column(std::string_view wanted) const {
    const auto at = by_name.find(std::string(wanted));
    return at == by_name.end() ? nullptr : &columns[at->second];
}

const Table* Facts::table(std::string_view subject) const {
    for (const Table& t : tables) {
        if (t.subject == subject) return &t;
    }
    return nullptr;
}

Facts schema(const units::Units& units) {
    Facts facts;
    for (const Columns& field : {array_columns(), switches_columns(), things_columns(), wiring_columns(), runs_columns(), protection_columns(),
                                 fittings_columns(), network_columns(), power_columns(), surroundings_columns(), answers_columns()}) {
        for (const TableSpec& t : field.tables) {
            assert(facts.table(t.subject) == nullptr && "a table that is listed twice");
            facts.tables.push_back({});
            facts.tables.back().subject = t.subject;
            facts.tables.back().about = t.about;
        }
        for (const Spec& spec : field.specs) add_column(facts, spec, units);
    }
    return facts;
}

}  // namespace ferrule::facts

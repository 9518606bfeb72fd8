#include "rules/bound.hpp"

#include <algorithm>
#include <utility>

#include <fmt/core.h>

namespace ferrule::rules {

namespace {

constexpr std::uint32_t more_words_begin = 0x80000000U;  // interners never grow so far

// A column whose data was filled in; one that was not is unknown in every row.
const facts::Column* filled(const facts::Table& table, const std::string& name) {
    const facts::Column* c = table.column(name);
    if (c == nullptr) return nullptr;
    std::size_t rows = 0;
    switch (c->type) {
        case facts::Type::number:
            rows = c->numbers.size();
            break;
        case facts::Type::flag:
            rows = c->flags.size();
            break;
        case facts::Type::word:
            rows = c->words.size();
            break;
        case facts::Type::subject:
            rows = c->subjects.size();
            break;
        case facts::Type::subjects:
            rows = c->lists.size();
            break;
    }
    return rows >= table.rows ? c : nullptr;
}

}  // namespace

Bound::Bound(const RuleSet& set, const facts::Facts& facts, const tables::Standard& standard)
    : set_(set), words_(facts.words), design_(facts.design), standard_(standard) {
    for (const auto& [subject, names] : set.tables) {
        const facts::Table* table = facts.table(subject);
        tables_.push_back(table);
        std::vector<const facts::Column*>& columns = columns_.emplace_back();
        for (const std::string& name : names)
            columns.push_back(table == nullptr ? nullptr : filled(*table, name));
    }
}

std::uint32_t Bound::table_index(std::string_view subject) const {
    for (std::uint32_t i = 0; i < set_.tables.size(); ++i) {
        if (set_.tables[i].first == subject) return i;
    }
    return none;
}

const facts::Column* Bound::column(std::uint32_t table, std::uint32_t column) const {
    return columns_[table][column];
}

std::uint32_t Bound::word(std::string_view text) {
    if (const base::Symbol s = words_.find(text)) return s.value;
    const auto [at, added] =
        more_words_.try_emplace(std::string(text), more_words_begin + more_texts_.size());
    if (added) more_texts_.emplace_back(text);
    return at->second;
}

std::string_view Bound::word_text(std::uint32_t word) const {
    if (word >= id_absent) return {};
    if (word >= more_words_begin) return more_texts_[word - more_words_begin];
    return words_.text(base::Symbol(word));
}

const PropertyColumn& Bound::property(std::uint32_t table, const PropertyPath& path) {
    const PropertyColumn*& known = property_of_[{&path, table}];
    if (known != nullptr) return *known;
    std::string key = fmt::format("{} {} {}", table, path.property, static_cast<int>(path.end));
    for (const std::string& f : path.fields) key += " " + f;
    auto& column = properties_[key];
    if (!column) {
        const facts::Table no_table;
        column = collect(tables_[table] == nullptr ? no_table : *tables_[table], path);
    }
    known = column.get();
    return *known;
}

const std::vector<std::uint8_t>& Bound::says(const facts::Column& column, const std::vector<std::uint32_t>& words) {
    const auto [at, fresh] = says_.try_emplace({&column, words});
    std::vector<std::uint8_t>& flags = at->second;
    if (fresh) {
        flags.resize(column.words.size());
        for (std::size_t row = 0; row < flags.size(); ++row) {
            const std::uint32_t is = column.words[row].value;
            flags[row] = is == id_unknown ? flag_unknown : 0;
            for (const std::uint32_t one : words) flags[row] = is == one && is != id_unknown ? 1 : flags[row];
        }
    }
    return flags;
}

std::unique_ptr<PropertyColumn> Bound::collect(const facts::Table& table,
                                               const PropertyPath& path) {
    auto result = std::make_unique<PropertyColumn>();
    const std::uint32_t rows = table.rows;
    result->numbers.assign(rows, graph::unknown);
    result->words.assign(rows, id_unknown);
    result->stated.assign(rows, 0);
    result->rows.assign(rows, none);
    result->fields.assign(rows, none);
    if (design_ == nullptr) return result;
    const graph::Design& design = *design_;
    const base::Symbol property = design.names.find(path.property);
    if (!property) return result;
    std::vector<base::Symbol> wanted;
    for (const std::string& f : path.fields) wanted.push_back(design.names.find(f));

    struct Found {
        graph::RowId row;
        graph::FieldId field;
    };
    const auto look = [&](base::Range<graph::RowId> range) {
        Found found;
        found.row = design.row(range, property);
        if (!found.row) return found;
        for (const graph::FieldId f : design.rows[found.row].fields) {
            const base::Symbol name = design.fields[f].name;
            if (name && std::find(wanted.begin(), wanted.end(), name) != wanted.end()) {
                found.field = f;
                break;
            }
        }
        return found;
    };
    // Rows of one part follow each other as a rule, so the last answer is tried first.
    std::unordered_map<std::uint64_t, Found> known;
    std::uint64_t last_key = ~std::uint64_t{0};
    Found last;
    const auto look_once = [&](base::Range<graph::RowId> range) {
        if (range.empty()) return Found{};
        const std::uint64_t key = std::uint64_t{range.first} << 32U | range.count;
        if (key == last_key) return last;
        const auto [at, added] = known.try_emplace(key);
        if (added) at->second = look(range);
        last_key = key;
        last = at->second;
        return last;
    };
    std::unordered_map<base::Symbol, std::uint32_t>
        translated;  // the design's names into the facts' words
    for (std::uint32_t i = 0; i < rows; ++i) {
        Found found;
        if (table.properties)
            found =
                table.part_properties ? look(table.properties(i)) : look_once(table.properties(i));
        if (!found.row && table.part_properties) found = look_once(table.part_properties(i));
        if (!found.row) continue;
        result->rows[i] = found.row.value;
        result->stated[i] = 1;
        if (!found.field) continue;
        result->fields[i] = found.field.value;
        const graph::Field& f = design.fields[found.field];
        switch (path.end) {
            case PropertyPath::End::low:
                result->numbers[i] = f.low;
                break;
            case PropertyPath::End::high:
                result->numbers[i] = f.high;
                break;
            case PropertyPath::End::single:
                if (!(f.low < f.high)) result->numbers[i] = f.low;
                break;
        }
        if (f.text) {
            const auto [at, added] = translated.try_emplace(f.text);
            if (added) at->second = word(design.names.text(f.text));
            result->words[i] = at->second;
        }
    }
    return result;
}

}  // namespace ferrule::rules

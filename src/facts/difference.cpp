#include "facts/difference.hpp"

#include <algorithm>
#include <cstring>

namespace ferrule::facts {

namespace {

// More than this share of the rows: looking at all of them takes no longer.
constexpr std::size_t few = 4;

// Bit for bit, so that one unknown number is like another.
template <class T>
Changed changed(const std::vector<T>& before, const std::vector<T>& now) {
    Changed c;
    c.all = before.size() != now.size();
    if (c.all || now.empty() || std::memcmp(before.data(), now.data(), now.size() * sizeof(T)) == 0) return c;
    for (std::uint32_t row = 0; row < now.size(); ++row) {
        if (std::memcmp(&before[row], &now[row], sizeof(T)) != 0) c.rows.push_back(row);
        c.all = c.rows.size() > now.size() / few;
        if (c.all) break;
    }
    return c;
}

// The subjects themselves, wherever in the pool they stand.
Changed changed_lists(const Column& before, const Column& now) {
    Changed c;
    c.all = before.lists.size() != now.lists.size();
    for (std::uint32_t row = 0; !c.all && row < now.lists.size(); ++row) {
        const Column::List a = before.lists[row], b = now.lists[row];
        if (!std::equal(before.pool.begin() + a.first, before.pool.begin() + a.first + a.count, now.pool.begin() + b.first, now.pool.begin() + b.first + b.count)) c.rows.push_back(row);
        c.all = c.rows.size() > now.lists.size() / few;
    }
    return c;
}

Changed changed(const Column& before, const Column& now) {
    switch (now.type) {
        case Type::number: return changed(before.numbers, now.numbers);
        case Type::flag: return changed(before.flags, now.flags);
        case Type::word: return changed(before.words, now.words);
        case Type::subject: return changed(before.subjects, now.subjects);
        case Type::subjects: return changed_lists(before, now);
    }
    return {true, {}};
}

// Not for lists.
Column values_of(const Column& column, const std::vector<std::uint32_t>& rows) {
    Column c;
    c.type = column.type;
    for (const std::uint32_t row : rows) {
        if (column.type == Type::number) c.numbers.push_back(column.numbers[row]);
        else if (column.type == Type::flag) c.flags.push_back(column.flags[row]);
        else if (column.type == Type::word) c.words.push_back(column.words[row]);
        else c.subjects.push_back(column.subjects[row]);
    }
    return c;
}

}  // namespace

Difference::Difference(const Facts& before, const Facts& now, bool same_statements) : same_statements_(same_statements) {
    for (std::size_t t = 0; t < now.tables.size(); ++t) {  // the tables and columns of both are those of schema()
        const Table& was = before.tables[t];
        const Table& is = now.tables[t];
        for (std::size_t c = 0; c < is.columns.size(); ++c) {
            changed_.emplace(&is.columns[c], was.rows == is.rows ? changed(was.columns[c], is.columns[c]) : Changed{true, {}});
        }
    }
}

Difference::Difference(const std::vector<Before>& before) : others_same_(true), same_statements_(true) {
    for (const Before& was : before) {
        Changed c = changed(was.values, values_of(*was.column, was.rows));
        if (c.all) c = {false, was.rows};
        else for (std::uint32_t& row : c.rows) row = was.rows[row];
        changed_.emplace(was.column, std::move(c));
    }
}

Difference::Before Difference::before(const Column& column, std::vector<std::uint32_t> rows) {
    Before b{&column, std::move(rows), {}};
    b.values = values_of(column, b.rows);
    return b;
}

Difference Difference::none() {
    Difference d;
    d.others_same_ = d.same_statements_ = true;
    return d;
}

const Changed& Difference::of(const Column* column) const {
    static const Changed nothing, unknown{true, {}};
    const auto at = changed_.find(column);
    return at != changed_.end() ? at->second : others_same_ ? nothing : unknown;
}

}  // namespace ferrule::facts

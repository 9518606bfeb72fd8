#include "helper_plant.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "base/files.hpp"

namespace reference {

using namespace ferrule;

namespace {

// Rules, kinds and standards are the same for every design: read once.
const project::Knowledge& knowledge() {
    static text::Sources sources;
    static const project::Knowledge known = project::learn(sources, base::disk(), {});
    return known;
}

const facts::Column& column_of(const facts::Table& table, std::string_view name) {
    const facts::Column* column = table.column(name);
    if (column == nullptr) {
        ADD_FAILURE() << "no fact " << table.subject << "." << name;
        std::abort();
    }
    return *column;
}

}  // namespace

Plant::Plant(std::string text) : loader_(sources_, base::disk()) {
    file_ = loader_.add("reference.fer", std::move(text));
    loader_.enter(file_);
    study_ = project::study(sources_, loader_, file_, knowledge(), {});
    network_ = facts::build_network(study_->design, facts::read_parts(study_->design));
}

std::uint32_t Plant::row_of(const facts::Table& table, std::string_view row) const {
    if (row.empty() && table.rows == 1) return 0;
    for (std::uint32_t i = 0; i < table.rows; ++i) {
        if (table.name(i) == row) return i;
    }
    ADD_FAILURE() << "no " << table.subject << " named '" << row << "' among " << table.rows;
    std::abort();
}

double Plant::number(std::string_view table, std::string_view row, std::string_view column) const {
    const facts::Table& t = *study_->facts.table(table);
    return column_of(t, column).numbers[row_of(t, row)];
}

bool Plant::flag(std::string_view table, std::string_view row, std::string_view column) const {
    const facts::Table& t = *study_->facts.table(table);
    const std::uint8_t value = column_of(t, column).flags[row_of(t, row)];
    EXPECT_NE(value, facts::flag_unknown) << table << "." << column;
    return value == 1;
}

std::string Plant::word(std::string_view table, std::string_view row, std::string_view column) const {
    const facts::Table& t = *study_->facts.table(table);
    const base::Symbol word = column_of(t, column).words[row_of(t, row)];
    return word ? std::string(study_->facts.words.text(word)) : std::string();
}

std::size_t Plant::rows(std::string_view table) const { return study_->facts.table(table)->rows; }

std::uint32_t Plant::terminal(std::string_view name) const {
    const graph::Design& d = study_->design;
    for (const graph::TerminalId t : d.terminals.ids()) {
        if (d.name(t) == name) return t.value;
    }
    ADD_FAILURE() << "no terminal " << name;
    std::abort();
}

bool Plant::joined_on(std::string_view a, std::string_view b) const {
    return network_.on[terminal(a)] == network_.on[terminal(b)];
}

bool Plant::joined_off(std::string_view a, std::string_view b) const {
    return network_.off[terminal(a)] == network_.off[terminal(b)];
}

std::vector<std::string> Plant::spoken() const {
    findings::Report report = rules::run(knowledge().rules, study_->facts, *study_->standard, {});
    std::vector<std::string> ids;
    for (const findings::Finding& f : report.findings) {
        if (f.severity != findings::Severity::note) ids.push_back(f.rule);
    }
    std::sort(ids.begin(), ids.end());
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
    return ids;
}

std::string Plant::troubles() const {
    std::string all;
    for (const findings::Finding& f : study_->findings) all += fmt::format("{} [{}]\n", f.message, f.rule);
    return all;
}

bool speaks(const Plant& plant, std::string_view rule) {
    const std::vector<std::string> all = plant.spoken();
    return std::find(all.begin(), all.end(), rule) != all.end();
}

double real(const tables::Value& table, std::string_view key) {
    const tables::Value* v = table.find(key);
    EXPECT_NE(v, nullptr) << key;
    return v == nullptr ? std::nan("") : v->number;
}

const tables::Standard& standard(std::string_view id) {
    const tables::Standard* known = knowledge().standard(id);
    if (known == nullptr) {
        ADD_FAILURE() << "no standard " << id;
        std::abort();
    }
    return *known;
}

tables::Value figures(std::string_view file) {
    text::Sources sources;
    const std::string path = fmt::format("{}/tests/reference/{}", FERRULE_SOURCE_DIR, file);
    base::ReadResult read = base::disk().read(path, 1U << 20U);
    EXPECT_EQ(read.status, base::ReadResult::Status::ok) << path;
    tables::TomlFile toml = tables::read_toml(sources, sources.add(path, std::move(read.bytes)));
    EXPECT_TRUE(toml.findings.empty()) << path;
    return toml.root;
}

namespace {

void count(std::string_view name, bool good, const std::string& how) {
    if (std::getenv("FERRULE_PUBLISHED") != nullptr) {
        fmt::print("published {} {} {}\n", good ? "ok" : "off", name, how);
        std::fflush(stdout);
    }
    EXPECT_TRUE(good) << name << ": " << how;
}

}  // namespace

void published(std::string_view name, double computed, double expected, double relative_tolerance) {
    const bool good = std::abs(computed - expected) <= relative_tolerance * std::abs(expected);
    count(name, good, fmt::format("computed {} published {}", computed, expected));
}

void published(std::string_view name, bool computed, bool expected) {
    count(name, computed == expected, fmt::format("computed {} published {}", computed, expected));
}

}  // namespace reference

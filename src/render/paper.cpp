#include "render/paper.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "text/source.hpp"

namespace ferrule::render {

namespace {

std::string_view code(Ink ink) {
    switch (ink) {
        case Ink::strong: return "1";
        case Ink::faint: return "2";
        case Ink::red: return "1;31";
        case Ink::yellow: return "1;33";
        case Ink::blue: return "1;34";
        case Ink::green: return "1;32";
        case Ink::plain: break;
    }
    return "";
}

}  // namespace

std::size_t length(std::string_view utf8) {
    return static_cast<std::size_t>(
        std::count_if(utf8.begin(), utf8.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

std::string counted(std::size_t n, std::string_view noun) { return fmt::format("{} {}{}", n, noun, n == 1 ? "" : "s"); }

std::string Paper::inked(Ink ink, std::string_view text) const {
    if (!colour_ || ink == Ink::plain) return std::string(text);
    return fmt::format("\x1b[{}m{}\x1b[0m", code(ink), text);
}

void Paper::wrapped(std::string_view text, std::size_t used, std::size_t indent) {
    const std::string safe = text::printable(text);
    std::string_view rest = safe;
    bool fresh = true;  // nothing on this line yet
    while (!rest.empty()) {
        const std::size_t blanks = std::min(rest.find_first_not_of(' '), rest.size());
        const std::size_t end = std::min(rest.find(' ', blanks), rest.size());
        const std::string_view word = rest.substr(blanks, end - blanks);
        rest.remove_prefix(end);
        if (word.empty()) break;
        const std::size_t gap = fresh ? 0 : std::max<std::size_t>(blanks, 1);
        if (!fresh && used + gap + length(word) > width) {
            out_ += '\n';
            out_.append(indent, ' ');
            used = indent + length(word);
        } else {
            out_.append(gap, ' ');
            used += gap + length(word);
        }
        out_ += word;
        fresh = false;
    }
    out_ += '\n';
}

void Paper::labelled(std::string_view label, std::string_view body, std::size_t indent) {
    const std::size_t hang = indent + label_width;
    bool first = true;
    do {
        const std::size_t end = std::min(body.find('\n'), body.size());
        out_.append(indent, ' ');
        out_ += inked(Ink::faint, fmt::format("{:<{}}", first ? label : "", label_width));
        wrapped(body.substr(0, end), hang, hang);
        body.remove_prefix(std::min(end + 1, body.size()));
        first = false;
    } while (!body.empty());
}

void Paper::labelled_raw(std::string_view label, std::string_view body, std::size_t indent) {
    out_.append(indent, ' ');
    out_ += inked(Ink::faint, fmt::format("{:<{}}", label, label_width));
    out_ += body;
    out_ += '\n';
}

void Paper::line(std::string_view raw) {
    out_ += raw;
    out_ += '\n';
}

void Paper::prose(std::string_view text, std::size_t indent) {
    std::string paragraph;
    const auto close = [&] {
        if (paragraph.empty()) return;
        out_.append(indent, ' ');
        wrapped(paragraph, indent, indent);
        paragraph.clear();
    };
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        std::string_view one = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        one.remove_prefix(std::min(one.find_first_not_of(" \t\r"), one.size()));
        if (one.empty()) {
            close();
            if (!text.empty()) out_ += '\n';
        } else {
            if (!paragraph.empty()) paragraph += ' ';
            paragraph += one;
        }
    }
    close();
}

void Paper::verbatim(std::string_view text, std::size_t indent) {
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        const std::string_view one = text.substr(0, end);
        if (!one.empty()) {
            out_.append(indent, ' ');
            out_ += text::printable(one);
        }
        out_ += '\n';
        text.remove_prefix(std::min(end + 1, text.size()));
    }
}

}  // namespace ferrule::render

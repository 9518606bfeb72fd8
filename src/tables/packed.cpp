#include "tables/packed.hpp"

#include <bit>
#include <cassert>
#include <cstdint>

namespace ferrule::tables {

namespace {

class Packer {
public:
    void value(const Value& v) {
        out_.push_back(static_cast<char>(v.kind));
        place(v.span);
        place(v.key_span);
        switch (v.kind) {
            case Value::Kind::none: break;
            case Value::Kind::text: text(v.text); break;
            case Value::Kind::number:
                out_.push_back(v.whole ? 1 : 0);
                number(std::bit_cast<std::uint64_t>(v.number), 8);
                break;
            case Value::Kind::flag: out_.push_back(v.flag ? 1 : 0); break;
            case Value::Kind::list:
                number(v.items.size(), 4);
                for (const Value& item : v.items) value(item);
                break;
            case Value::Kind::table:
                number(v.entries.size(), 4);
                for (const Member& m : v.entries) {
                    text(m.key);
                    value(m.value);
                }
                break;
        }
    }
    [[nodiscard]] std::string take() { return std::move(out_); }

private:
    void number(std::uint64_t n, int bytes) {
        for (int i = 0; i < bytes; ++i) out_.push_back(static_cast<char>(n >> (8 * i) & 0xffU));
    }
    void place(text::Span s) {
        out_.push_back(s ? 1 : 0);
        number(s.begin, 4);
        number(s.end, 4);
    }
    void text(std::string_view s) {
        number(s.size(), 4);
        out_ += s;
    }
    std::string out_;
};

class Unpacker {
public:
    Unpacker(std::string_view bytes, text::FileId file) : bytes_(bytes), file_(file) {}

    Value value() {
        Value v;
        v.kind = static_cast<Value::Kind>(byte());
        v.span = place();
        v.key_span = place();
        switch (v.kind) {
            case Value::Kind::none: break;
            case Value::Kind::text: v.text = text(); break;
            case Value::Kind::number:
                v.whole = byte() != 0;
                v.number = std::bit_cast<double>(number(8));
                break;
            case Value::Kind::flag: v.flag = byte() != 0; break;
            case Value::Kind::list: {
                const std::uint64_t count = number(4);
                v.items.reserve(count);
                for (std::uint64_t i = 0; i < count; ++i) v.items.push_back(value());
                break;
            }
            case Value::Kind::table: {
                const std::uint64_t count = number(4);
                v.entries.reserve(count);
                for (std::uint64_t i = 0; i < count; ++i) {
                    std::string key(text());
                    v.entries.push_back({std::move(key), value()});
                }
                break;
            }
        }
        return v;
    }

private:
    unsigned char byte() {
        assert(at_ < bytes_.size());
        return static_cast<unsigned char>(bytes_[at_++]);
    }
    std::uint64_t number(int bytes) {
        std::uint64_t n = 0;
        for (int i = 0; i < bytes; ++i) n |= std::uint64_t{byte()} << (8 * i);
        return n;
    }
    text::Span place() {
        const bool known = byte() != 0;
        text::Span s;
        if (known) s.file = file_;
        s.begin = static_cast<std::uint32_t>(number(4));
        s.end = static_cast<std::uint32_t>(number(4));
        return s;
    }
    std::string_view text() {
        const std::uint64_t size = number(4);
        const std::string_view s = bytes_.substr(at_, size);
        at_ += size;
        return s;
    }

    std::string_view bytes_;
    text::FileId file_;
    std::size_t at_ = 0;
};

}  // namespace

std::string pack(const Value& root) {
    Packer packer;
    packer.value(root);
    return packer.take();
}

Value unpack(std::string_view bytes, text::FileId file) { return Unpacker(bytes, file).value(); }

}  // namespace ferrule::tables

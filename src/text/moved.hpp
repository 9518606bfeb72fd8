// Where a place of a text is after some of its bytes were replaced by others, if it stands before or behind them.
#pragma once

#include <cstdint>

#include "text/source.hpp"

namespace ferrule::text {

class Moved {
public:
    // Of this file the bytes begin to end_before, which now end at end_now.
    Moved(FileId file, std::uint32_t begin, std::uint32_t end_before, std::uint32_t end_now)
        : file_(file), begin_(begin), end_(end_before), grown_(end_now - end_before) {}

    // Neither end may stand among the bytes replaced; nor may it be said on which side of none an empty place stands.
    [[nodiscard]] bool knows(Span s) const {
        if (s.file != file_) return true;
        return !inside(s.begin) && !inside(s.end) && !(begin_ == end_ && s.begin == s.end && s.begin == begin_);
    }
    [[nodiscard]] Span operator()(Span s) const {
        if (s.file != file_) return s;
        return {s.file, s.begin < end_ ? s.begin : s.begin + grown_, s.end <= begin_ ? s.end : s.end + grown_};
    }

private:
    [[nodiscard]] bool inside(std::uint32_t at) const { return at > begin_ && at < end_; }

    FileId file_;
    std::uint32_t begin_, end_, grown_;  // grown: modulo 2^32
};

}  // namespace ferrule::text

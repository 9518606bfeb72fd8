#include "syntax/recognise.hpp"

#include "grammar/design.hpp"

namespace ferrule::syntax {

bool recognise(std::string_view text) {
    tao::pegtl::memory_input<tao::pegtl::tracking_mode::lazy, tao::pegtl::eol::lf_crlf, const char*>
        in(text.data(), text.data() + text.size(), "");
    return tao::pegtl::parse<grammar::file>(in);
}

}  // namespace ferrule::syntax

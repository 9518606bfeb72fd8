#include "cli/manual.hpp"

#include <algorithm>
#include <cstdint>

#include <fmt/format.h>

namespace ferrule::cli {

namespace {

// Text in troff: backslashes, hyphens and whatever is not ASCII escaped, no line begins with a dot or an apostrophe.
std::string troff(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        const bool line_start = i == 0 || text[i - 1] == '\n';
        if (line_start && (c == '.' || c == '\'')) out += "\\&";
        const auto lead = static_cast<unsigned char>(c);
        if (c == '\\') {
            out += "\\e";
        } else if (c == '-') {
            out += "\\-";
        } else if (lead >= 0xC0U) {
            const std::size_t more = lead >= 0xF0U ? 3 : lead >= 0xE0U ? 2 : 1;
            std::uint32_t point = lead & (0x3FU >> more);
            for (std::size_t k = 0; k < more && i + 1 < text.size(); ++k) point = point << 6U | (static_cast<unsigned char>(text[++i]) & 0x3FU);
            out += fmt::format("\\[u{:04X}]", point);
        } else {
            out += c;
        }
    }
    return out;
}

std::string head(const std::string& name, const std::string& version) {
    std::string upper;
    for (const char c : name) upper += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    return fmt::format(".TH \"{}\" 1 \"{}\" \"ferrule {}\" \"Designs of small DC power systems\"\n", troff(upper), FERRULE_DATE, troff(version));
}

constexpr std::string_view cautions =
    ".SH CAUTION\nIt checks a design; it replaces neither the local code, nor the authority, nor a licensed person. Direct current does not put an arc out:\n"
    "isolate, lock, prove dead before touching.\n";

constexpr std::string_view statuses = ".SH EXIT STATUS\n.TP\n0\nno error found\n.TP\n1\nat least one error\n.TP\n2\nthe job could not be done\n";

std::string page(const CommandText& c, const std::string& version) {
    const std::string name = "ferrule-" + c.name;
    std::string out = head(name, version);
    out += fmt::format(".SH NAME\n{} \\- {}\n.SH SYNOPSIS\n.B ferrule {}\n", troff(name), troff(c.about), troff(c.name));
    for (const OptionText& o : c.options) {
        if (o.positional) out += fmt::format(".I {}\n", troff(o.name + (o.value.empty() || o.value == " " ? "" : o.value)));
    }
    out += "[\n.I options\n]\n.SH DESCRIPTION\n" + troff(c.about) + ".\n.SH OPTIONS\n";
    for (const OptionText& o : c.options) {
        out += fmt::format(".TP\n\\fB{}\\fR", troff(o.name));
        if (!o.value.empty() && !o.positional) out += fmt::format(" \\fI{}\\fR", troff(o.value));
        out += "\n" + troff(o.about) + "\n";
    }
    out += ".SH EXAMPLE\n.nf\n" + troff(c.example) + "\n.fi\n";
    out += statuses;
    out += cautions;
    return out + ".SH SEE ALSO\n.BR ferrule (1)\n";
}

std::string overview(const std::vector<CommandText>& commands, const std::string& version) {
    std::string out = head("ferrule", version);
    out += ".SH NAME\nferrule \\- check the design of a small DC power system written as text\n.SH SYNOPSIS\n.B ferrule\n.I command\n[\n.I options\n]\n.SH DESCRIPTION\n"
           "Reads a small power system written down as text and says what is wrong with it, where, and why.\n.SH COMMANDS\n";
    for (const CommandText& c : commands) out += fmt::format(".TP\n\\fB{}\\fR\n{}; see\n.BR ferrule\\-{} (1)\n", troff(c.name), troff(c.about), troff(c.name));
    out += statuses;
    out += cautions;
    out += ".SH FILES\n.TP\n.I ferrule.toml\nsettings of a project, the nearest upward from a design\n.SH SEE ALSO\n";
    for (std::size_t i = 0; i < commands.size(); ++i) out += fmt::format(".BR ferrule\\-{} (1){}\n", troff(commands[i].name), i + 1 < commands.size() ? "," : "");
    return out;
}

std::string joined(const std::vector<std::string>& words) {
    std::string all;
    for (const std::string& w : words) all += (all.empty() ? "" : " ") + w;
    return all;
}

std::string bash(const std::vector<CommandText>& commands) {
    std::string names;
    for (const CommandText& c : commands) names += (names.empty() ? "" : " ") + c.name;
    std::string out =
        "# Completion of ferrule for bash.\n_ferrule() {\n    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command=${COMP_WORDS[1]}\n"
        "    COMPREPLY=()\n    if [ \"$COMP_CWORD\" -eq 1 ]; then\n";
    out += fmt::format("        mapfile -t COMPREPLY < <(compgen -W \"{} --help --version\" -- \"$word\")\n        return\n    fi\n    case \"$command $before\" in\n", names);
    for (const CommandText& c : commands) {
        for (const OptionText& o : c.options) {
            if (o.positional || o.value.empty()) continue;
            if (!o.choices.empty()) out += fmt::format("        '{} {}') mapfile -t COMPREPLY < <(compgen -W \"{}\" -- \"$word\"); return ;;\n", c.name, o.name, joined(o.choices));
            else if (o.folder) out += fmt::format("        '{} {}') mapfile -t COMPREPLY < <(compgen -d -- \"$word\"); return ;;\n", c.name, o.name);
            else if (o.file) out += fmt::format("        '{} {}') mapfile -t COMPREPLY < <(compgen -f -- \"$word\"); return ;;\n", c.name, o.name);
            else if (o.rule) out += fmt::format("        '{} {}') mapfile -t COMPREPLY < <(compgen -W \"$(ferrule rules 2>/dev/null | grep -o '^ *[a-z-]*\\.[a-z-]*')\" -- \"$word\"); return ;;\n", c.name, o.name);
            else out += fmt::format("        '{} {}') return ;;\n", c.name, o.name);
        }
    }
    out += "    esac\n    case \"$command\" in\n";
    for (const CommandText& c : commands) {
        std::string options;
        for (const OptionText& o : c.options) {
            if (!o.positional) options += (options.empty() ? "" : " ") + o.name;
        }
        const auto place = std::find_if(c.options.begin(), c.options.end(), [](const OptionText& o) { return o.positional; });
        const bool files = place != c.options.end() && place->file;
        out += fmt::format("        {}) if [[ $word == -* ]]; then mapfile -t COMPREPLY < <(compgen -W \"{}\" -- \"$word\"); ", c.name, options);
        if (files) out += "else mapfile -t COMPREPLY < <(compgen -d -- \"$word\"; compgen -f -X '!*.fer' -- \"$word\"); ";
        else if (place != c.options.end() && !place->choices.empty()) out += fmt::format("else mapfile -t COMPREPLY < <(compgen -W \"{}\" -- \"$word\"); ", joined(place->choices));
        out += "fi ;;\n";
    }
    return out + "    esac\n}\ncomplete -o filenames -F _ferrule ferrule\n";
}

// Between single quotes, with what zsh and fish would take for their own.
std::string quoted(std::string_view text, bool zsh) {
    std::string out;
    for (const char c : text) {
        if (c == '\'') out += zsh ? "'\\''" : "\\'";
        else if (zsh && (c == '[' || c == ']' || c == ':')) out += std::string("\\") + c;
        else out += c;
    }
    return out;
}

std::string zsh(const std::vector<CommandText>& commands) {
    std::string out = "#compdef ferrule\n# Completion of ferrule for zsh.\n_ferrule() {\n    local -a commands\n    commands=(\n";
    for (const CommandText& c : commands) out += fmt::format("        '{}:{}'\n", c.name, quoted(c.about, true));
    out += "    )\n    if (( CURRENT == 2 )); then\n        _describe command commands\n        return\n    fi\n    local command=$words[2]\n    shift words\n    (( CURRENT-- ))\n    case $command in\n";
    for (const CommandText& c : commands) {
        out += fmt::format("        {})\n            _arguments", c.name);
        for (const OptionText& o : c.options) {
            std::string action;
            if (!o.choices.empty()) action = fmt::format("({})", joined(o.choices));
            else if (o.folder) action = "_files -/";
            else if (o.positional && o.file) action = "_files -g \"*.fer\"";
            else if (o.file) action = "_files";
            if (o.positional) out += fmt::format(" \\\n                '{}:{}:{}'", o.value == "..." ? "*" : "", quoted(o.name, true), action);
            else if (o.value.empty()) out += fmt::format(" \\\n                '{}[{}]'", o.name, quoted(o.about, true));
            else out += fmt::format(" \\\n                '{}[{}]:{}:{}'", o.name, quoted(o.about, true), quoted(o.value, true), action);
        }
        out += "\n            ;;\n";
    }
    return out + "    esac\n}\n_ferrule \"$@\"\n";
}

std::string fish(const std::vector<CommandText>& commands) {
    std::string out = "# Completion of ferrule for fish.\ncomplete -c ferrule -f\n";
    for (const CommandText& c : commands) {
        out += fmt::format("complete -c ferrule -n __fish_use_subcommand -a {} -d '{}'\n", c.name, quoted(c.about, false));
        const std::string in = fmt::format("complete -c ferrule -n '__fish_seen_subcommand_from {}'", c.name);
        for (const OptionText& o : c.options) {
            if (o.positional) {
                if (o.file) out += in + " -F\n";
                else if (!o.choices.empty()) out += fmt::format("{} -a '{}'\n", in, joined(o.choices));
                continue;
            }
            out += fmt::format("{} -l {} -d '{}'", in, o.name.substr(2), quoted(o.about, false));
            if (!o.value.empty()) out += " -r";
            if (!o.choices.empty()) out += fmt::format(" -a '{}'", joined(o.choices));
            else if (o.file || o.folder) out += " -F";
            out += '\n';
        }
    }
    return out;
}

}  // namespace

std::vector<std::pair<std::string, std::string>> manual_files(const std::vector<CommandText>& commands, const std::string& version) {
    std::vector<std::pair<std::string, std::string>> files;
    files.emplace_back("man/man1/ferrule.1", overview(commands, version));
    for (const CommandText& c : commands) files.emplace_back("man/man1/ferrule-" + c.name + ".1", page(c, version));
    files.emplace_back("bash-completion/completions/ferrule", bash(commands));
    files.emplace_back("zsh/vendor-completions/_ferrule", zsh(commands));
    files.emplace_back("fish/vendor_completions.d/ferrule.fish", fish(commands));
    return files;
}

}  // namespace ferrule::cli

// editor_files: writes the files of editors/ that hold words of the language, after the tables have changed.
#include <cstdio>
#include <fstream>

#include "helper_files.hpp"

int main() {
    int status = 0;
    for (const auto& [path, text] : ferrule::tests::editor_files()) {
        std::ofstream out(FERRULE_SOURCE_DIR "/editors/" + path, std::ios::binary);
        out << text;
        out.flush();
        std::printf("%s editors/%s\n", out ? "wrote" : "could not write", path.c_str());
        if (!out) status = 1;
    }
    return status;
}

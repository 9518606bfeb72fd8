#include <malloc.h>

#include "cli/cli.hpp"

int main(int argc, char** argv) {
    // A check allocates a few very large tables once. Taken from the heap and kept, they cost fewer page faults than a mapping each.
    mallopt(M_MMAP_THRESHOLD, 1 << 30);
    mallopt(M_TRIM_THRESHOLD, 1 << 30);
    mallopt(M_TOP_PAD, 64 << 20);
    return ferrule::cli::run(argc, argv);
}

#include "cli/cli.hpp"

int main(int argc, char** argv) { return ferrule::cli::run(argc, argv); }

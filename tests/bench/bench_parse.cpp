// Times the parser against the same grammar without actions on one file, in turns, in one process.
// Prints: bytes lines median-seconds-of-parse median-seconds-of-recognise median-of-the-ratios
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "syntax/recognise.hpp"
#include "syntax/tree.hpp"
#include "text/source.hpp"

namespace {

template <class F>
double seconds(F&& f) {
    const auto start = std::chrono::steady_clock::now();
    f();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

double median(std::vector<double> v) {
    std::sort(v.begin(), v.end());
    return v[v.size() / 2];
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "usage: bench_parse FILE\n");
        return 2;
    }
    std::ifstream in(argv[1], std::ios::binary);
    const std::string bytes{std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
    if (bytes.empty()) {
        std::fprintf(stderr, "%s cannot be read, or is empty\n", argv[1]);
        return 2;
    }
    ferrule::text::Sources sources;
    const ferrule::text::FileId file = sources.add(argv[1], bytes);

    std::size_t nodes = 0;
    std::size_t findings = 0;
    bool accepted = true;
    const auto parse = [&] {
        const ferrule::syntax::Tree tree = ferrule::syntax::parse(sources, file);
        nodes = tree.nodes.size();
        findings = tree.findings.size();
    };
    const auto recognise = [&] { accepted = ferrule::syntax::recognise(bytes); };

    parse();  // a warm-up each
    recognise();
    if (!accepted || findings != 0) {
        std::fprintf(stderr, "%s is not in the language (%zu findings)\n", argv[1], findings);
        return 1;
    }
    const int turns = bytes.size() < 1'000'000 ? 61 : bytes.size() < 10'000'000 ? 21 : 7;
    std::vector<double> with, without, ratios;
    for (int i = 0; i < turns; ++i) {
        with.push_back(seconds(parse));
        without.push_back(seconds(recognise));
        ratios.push_back(with.back() / without.back());
    }
    const auto lines = std::count(bytes.begin(), bytes.end(), '\n');
    std::printf("%zu %td %.9f %.9f %.6f\n", bytes.size(), static_cast<std::ptrdiff_t>(lines), median(with), median(without), median(ratios));
    return nodes > 0 ? 0 : 1;
}

// One conductor's way through a switch: a few nets and the contacts of one handle between them.
#pragma once

#include <cstdint>
#include <vector>

namespace ferrule::facts {

struct Contact {
    std::uint32_t edge = 0;        // of Network::edges
    std::uint32_t a = 0, b = 0;    // nets, numbered within the cluster
};

struct Cluster {
    std::uint32_t handle = 0;
    std::vector<std::uint32_t> nets;   // of Network::off
    std::vector<Contact> contacts;
};

struct Way {
    std::uint32_t contacts = 0;        // fewest one after the other; 0: no way
    std::uint32_t side_by_side = 0;    // ways that share no contact
    std::vector<std::uint8_t> used;    // per contact of the cluster: on some way
    std::vector<std::uint32_t> distance;  // per net of the cluster: contacts from `from`
};

// Between two nets of a cluster. The cost is that of the cluster, which is the size of one switch.
[[nodiscard]] Way way_through(const Cluster& cluster, std::uint32_t from, std::uint32_t to);

}  // namespace ferrule::facts

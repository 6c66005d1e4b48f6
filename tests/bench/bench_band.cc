// SPDX-License-Identifier: GPL-3.0-or-later
// The shell of a mesh beside OpenVDB's level set of the same mesh, at the same side of a cell, and
// both against closed forms. Built by `make tests/bench/bench_band` where libopenvdb-dev is
// installed; nothing here is a test.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <vector>

#include <openvdb/openvdb.h>
#include <openvdb/tools/MeshToVolume.h>
#include <tbb/global_control.h>

extern "C" {
#include "shape/band.h"
#include "shape/mesh_shape.h"
}

static double cpu_s() {
    timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return double(t.tv_sec) + 1e-9 * double(t.tv_nsec);
}

// Share of a cell above a plane d cells away: the same sum over cells for both.
static double share(double d) {
    return std::clamp(d + 0.5, 0.0, 1.0);
}

static double shell_here(const pc_mesh *mesh, double h, double wall, double *seconds) {
    double start = cpu_s(), sum = 0.0;
    pci_band band;
    if (pci_band_make(mesh, h, wall + h, 1e9, &band) != PC_OK)
        std::exit(1);
    for (uint32_t c = 0; c < band.blocks * PCI_BLOCK_CELLS; c++) {
        double d = pci_band_depth(&band, c);
        if (std::isfinite(d))
            sum += share(d) - share(d - wall / h);
    }
    pci_band_free(&band);
    *seconds = cpu_s() - start;
    return sum * h * h * h;
}

// Inside to the wall and a cell more, outside one cell, the least that it takes.
static double shell_there(const pc_mesh *mesh, double h, double wall, double *seconds) {
    double start = cpu_s(), sum = 0.0;
    std::vector<openvdb::Vec3s> points(mesh->vertex_count);
    std::vector<openvdb::Vec3I> facets(mesh->facet_count);
    std::vector<openvdb::Vec4I> none;
    for (size_t v = 0; v < mesh->vertex_count; v++)
        for (int a = 0; a < 3; a++)
            points[v][a] = float(mesh->vertex[3 * v + a]);
    for (size_t f = 0; f < mesh->facet_count; f++)
        for (int a = 0; a < 3; a++)
            facets[f][a] = mesh->facet[3 * f + a];
    auto to_world = openvdb::math::Transform::createLinearTransform(h);
    auto grid = openvdb::tools::meshToSignedDistanceField<openvdb::FloatGrid>(
        *to_world, points, facets, none, 1.0f, float(wall / h + 1.0));
    for (auto i = grid->cbeginValueOn(); i; ++i) {
        double d = -double(*i) / h;
        sum += share(d) - share(d - wall / h);
    }
    *seconds = cpu_s() - start;
    return sum * h * h * h;
}

static void compare(const char *name, const pc_mesh *mesh, double h, double wall, double exact) {
    double here_s = INFINITY, there_s = INFINITY, here = 0.0, there = 0.0, s;
    for (int run = 0; run < 5; run++) {
        here = shell_here(mesh, h, wall, &s);
        here_s = std::min(here_s, s);
        there = shell_there(mesh, h, wall, &s);
        there_s = std::min(there_s, s);
    }
    std::printf("%-10s %8zu facets, cell %4.2f mm, wall %4.1f mm: %7.1f ms, OpenVDB %7.1f ms, "
                "%4.2f of its time",
                name, mesh->facet_count, 1e3 * h, 1e3 * wall, 1e3 * here_s, 1e3 * there_s,
                here_s / there_s);
    if (exact > 0.0)
        std::printf("; error %+.3f %% and %+.3f %%\n", 100 * (here / exact - 1),
                    100 * (there / exact - 1));
    else
        std::printf("; volumes differ by %+.3f %%\n", 100 * (here / there - 1));
}

// A ball of 50 mm, n times 2 n patches.
static void make_ball(int n, pc_mesh *mesh) {
    const double pi = std::acos(-1.0);
    std::vector<float> x;
    auto point = [&](int i, int j) {
        double r = i == 0 || i == n ? 0.0 : 50.0 * std::sin(pi * i / n), t = pi * (j % (2 * n)) / n;
        x.push_back(float(r * std::cos(t)));
        x.push_back(float(r * std::sin(t)));
        x.push_back(float(50.0 * std::cos(pi * i / n)));
    };
    for (int i = 0; i < n; i++)
        for (int j = 0; j < 2 * n; j++) {
            if (i != n - 1)
                point(i, j), point(i + 1, j), point(i + 1, j + 1);
            if (i != 0)
                point(i, j), point(i + 1, j + 1), point(i, j + 1);
        }
    size_t facets = x.size() / 9;
    std::vector<char> file(84 + 50 * facets, 0);
    for (int b = 0; b < 4; b++)
        file[size_t(80 + b)] = char(facets >> 8 * b & 255);
    for (size_t f = 0; f < facets; f++)
        std::memcpy(&file[84 + 50 * f + 12], &x[9 * f], 36);
    if (pci_mesh_parse(file.data(), file.size(), "ball.stl", "mm", mesh, nullptr) != PC_OK)
        std::exit(1);
}

int main(int argc, char **argv) {
    tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
    const double pi = std::acos(-1.0);
    openvdb::initialize();
    for (int n : {50, 200, 500}) {
        pc_mesh ball;
        make_ball(n, &ball);
        for (double wall : {0.003, 0.010})
            compare("ball", &ball, 0.001, wall,
                    4.0 * pi / 3.0 * (1.25e-4 - std::pow(0.05 - wall, 3)));
        pc_mesh_free(&ball);
    }
    pc_mesh otter;
    if (pc_mesh_read(argc > 1 ? argv[1] : "examples/otter.stl", "mm", &otter, nullptr) == PC_OK)
        for (double h : {0.002, 0.001, 0.0005})
            compare("otter", &otter, h, 0.005, 0.0);
    pc_mesh_free(&otter);
    return 0;
}

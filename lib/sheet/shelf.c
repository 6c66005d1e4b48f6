/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The resin shelf: folders of resin files, and last the files built into the library. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "input/whole_file.h"
#include "pourclock/resin.h"
#include "resin/cure_rate.h"
#include "sheet/resin_file.h"
#include "sheet/shelf_data.h"

enum {
    FOLDERS = 3,
    PATH_SIZE = 1024,
    NAME_SIZE = sizeof((pc_shelf_resin *)0)->name,
    RESINS_MOST = 256,
    BUILT_IN_COUNT = sizeof shelf_data / sizeof shelf_data[0],
};

struct folders {
    size_t count;
    char path[FOLDERS][PATH_SIZE];
};

/* A resin with the number of its folder; the built-in ones are as in the folder after the last. */
struct resin_place {
    char name[NAME_SIZE];
    size_t folder;
};

struct shelf {
    struct folders folders;
    size_t count;
    struct resin_place resin[RESINS_MOST];
};

static void add_folder(struct folders *folders, const char *root, const char *rest) {
    if (!root || !*root)
        return;
    int n = snprintf(folders->path[folders->count], PATH_SIZE, "%s%s", root, rest);
    if (n > 0 && n < PATH_SIZE)
        folders->count++;
}

static void find_folders(struct folders *folders) {
    folders->count = 0;
    add_folder(folders, getenv("POURCLOCK_SHELF"), "");
    const char *data = getenv("XDG_DATA_HOME");
    if (data && data[0] == '/') /* others are to be ignored: XDG Base Directory Specification */
        add_folder(folders, data, "/pourclock/resins");
    else
        add_folder(folders, getenv("HOME"), "/.local/share/pourclock/resins");
    add_folder(folders, PC_SHELF_DIR, "");
}

static void add_resin(struct shelf *shelf, const char *name, size_t length, size_t folder) {
    if (shelf->count == RESINS_MOST || length == 0 || length >= NAME_SIZE)
        return;
    struct resin_place *place = &shelf->resin[shelf->count++];
    memcpy(place->name, name, length);
    place->name[length] = '\0';
    place->folder = folder;
}

static void add_resins_of(struct shelf *shelf, size_t folder) {
    DIR *directory = opendir(shelf->folders.path[folder]);
    if (!directory)
        return;
    for (struct dirent *entry; (entry = readdir(directory));) {
        size_t n = strlen(entry->d_name);
        if (n > 4 && entry->d_name[0] != '.' && strcmp(entry->d_name + n - 4, ".ini") == 0)
            add_resin(shelf, entry->d_name, n - 4, folder);
    }
    closedir(directory);
}

static int by_name_then_folder(const void *a, const void *b) {
    const struct resin_place *p = a, *q = b;
    int order = strcmp(p->name, q->name);
    return order ? order : (p->folder > q->folder) - (p->folder < q->folder);
}

/* Every resin once, by name, from the first folder that has it. */
static void read_shelf(struct shelf *shelf) {
    find_folders(&shelf->folders);
    shelf->count = 0;
    for (size_t i = 0; i < BUILT_IN_COUNT; i++)
        add_resin(shelf, shelf_data[i].name, strlen(shelf_data[i].name), shelf->folders.count);
    for (size_t i = 0; i < shelf->folders.count; i++)
        add_resins_of(shelf, i);
    qsort(shelf->resin, shelf->count, sizeof shelf->resin[0], by_name_then_folder);
    size_t kept = 0;
    for (size_t i = 0; i < shelf->count; i++)
        if (kept == 0 || strcmp(shelf->resin[kept - 1].name, shelf->resin[i].name) != 0)
            shelf->resin[kept++] = shelf->resin[i];
    shelf->count = kept;
}

size_t pc_shelf_list(size_t most, pc_shelf_resin *resin) {
    struct shelf shelf;
    read_shelf(&shelf);
    for (size_t i = 0; resin && i < shelf.count && i < most; i++) {
        const struct resin_place *place = &shelf.resin[i];
        resin[i].built_in = place->folder == shelf.folders.count;
        pci_copy_text(resin[i].name, sizeof resin[i].name, place->name);
        pci_copy_text(resin[i].folder, sizeof resin[i].folder,
                      resin[i].built_in ? "" : shelf.folders.path[place->folder]);
    }
    return shelf.count;
}

static pc_status not_on_shelf(const char *name, pc_errors *errors) {
    struct shelf shelf;
    read_shelf(&shelf);
    const char *names[RESINS_MOST + 1];
    char all[300] = "";
    size_t used = 0;
    for (size_t i = 0; i < shelf.count; i++) {
        names[i] = shelf.resin[i].name;
        int n = snprintf(all + used, sizeof all - used, "%s%s", used ? ", " : "", names[i]);
        used += n > 0 && (size_t)n < sizeof all - used ? (size_t)n : 0;
    }
    all[used] = '\0';
    names[shelf.count] = NULL;
    const char *near = pci_nearest_word(name, names);
    if (near)
        return pc_errors_add(errors, PC_E_FILE, (pc_place){.value = name},
                             "no resin \"%.80s\" on the shelf: did you mean %s? There are: %s",
                             name, near, all);
    return pc_errors_add(errors, PC_E_FILE, (pc_place){.value = name},
                         "no resin \"%.80s\" on the shelf. There are: %s. Or give the path of a "
                         "file, such as ./%.60s.ini; POURCLOCK_SHELF names a shelf of your own",
                         name, all, name);
}

static pc_status read_built_in(const char *name, pc_resin *resin, pc_errors *errors) {
    for (size_t i = 0; i < BUILT_IN_COUNT; i++) {
        if (strcmp(name, shelf_data[i].name) != 0)
            continue;
        char file[NAME_SIZE + 16];
        snprintf(file, sizeof file, "%s (built in)", name);
        return pci_resin_parse(file, (const char *)shelf_data[i].bytes, shelf_data[i].size, resin,
                               errors);
    }
    return not_on_shelf(name, errors);
}

pc_status pc_resin_find(const char *name, const char *beside, pc_resin *resin, pc_errors *errors) {
    if (!name || !*name || !resin)
        return pc_errors_add(errors, PC_E_ARGUMENT, PC_NOWHERE, "no name of a resin");
    char path[PATH_SIZE + 256];
    if (strchr(name, '/') || strchr(name, '.') || strcmp(name, "-") == 0) {
        if (!pci_path_beside(name, beside, path, sizeof path))
            return pc_errors_add(errors, PC_E_SIZE, (pc_place){.value = name}, "path too long");
        return pci_resin_read(path, resin, errors);
    }
    struct folders folders;
    find_folders(&folders);
    for (size_t i = 0; i < folders.count; i++) {
        int n = snprintf(path, sizeof path, "%s/%s.ini", folders.path[i], name);
        if (n > 0 && (size_t)n < sizeof path && access(path, F_OK) == 0)
            return pci_resin_read(path, resin, errors);
    }
    return read_built_in(name, resin, errors);
}

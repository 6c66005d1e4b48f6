/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The resin shelf: directories of resin files. */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "input/file.h"
#include "pourclock/resin.h"

enum { SHELVES = 3, PATH_SIZE = 1024, NAMES_MOST = 64, NAME_MOST = 64 };

struct shelf {
    size_t count;
    char directory[SHELVES][PATH_SIZE];
};

struct names {
    size_t count;
    char name[NAMES_MOST][NAME_MOST];
};

static void add_directory(struct shelf *shelf, const char *root, const char *rest) {
    if (!root || !*root)
        return;
    char *directory = shelf->directory[shelf->count];
    int n = snprintf(directory, PATH_SIZE, "%s%s", root, rest);
    if (n > 0 && n < PATH_SIZE)
        shelf->count++;
}

static void find_shelves(struct shelf *shelf) {
    shelf->count = 0;
    add_directory(shelf, getenv("POURCLOCK_SHELF"), "");
    const char *data = getenv("XDG_DATA_HOME");
    if (data && data[0] == '/') /* others are to be ignored: XDG Base Directory Specification */
        add_directory(shelf, data, "/pourclock/resins");
    else
        add_directory(shelf, getenv("HOME"), "/.local/share/pourclock/resins");
    add_directory(shelf, PC_SHELF_DIR, "");
}

static int by_name(const void *a, const void *b) {
    return strcmp(a, b);
}

static void list_directory(const char *path, struct names *names) {
    DIR *directory = opendir(path);
    if (!directory)
        return;
    for (struct dirent *entry; names->count < NAMES_MOST && (entry = readdir(directory));) {
        size_t n = strlen(entry->d_name);
        if (n <= 4 || n - 4 >= NAME_MOST || strcmp(entry->d_name + n - 4, ".ini") != 0 ||
            entry->d_name[0] == '.')
            continue;
        char *name = names->name[names->count++];
        memcpy(name, entry->d_name, n - 4);
        name[n - 4] = '\0';
    }
    closedir(directory);
}

/* A shelf without a single resin is not there: say where it was looked for, folder by folder, as
 * many as fit into words. */
static pc_status no_shelf(const char *name, const struct shelf *shelf, pc_errors *errors) {
    char where[260] = "";
    size_t used = 0, left = 0;
    for (size_t i = 0; i < shelf->count; i++) {
        const char *folder = shelf->directory[i];
        if (strlen(folder) + 3 > sizeof where - used) {
            left++;
            continue;
        }
        used +=
            (size_t)snprintf(where + used, sizeof where - used, "%s%s", used ? ", " : "", folder);
    }
    if (left > 0)
        pci_format(where + used, sizeof where - used, "%s", used ? " ..." : "...");
    return pc_errors_add(errors, PC_E_FILE, (pc_place){.value = name},
                         "no resin \"%.40s\": no resin file at all in %s; set "
                         "POURCLOCK_SHELF=FOLDER to a folder of resin files, or give the path of a "
                         "file, such as ./%.40s.ini",
                         name, where, name);
}

static pc_status not_on_shelf(const char *name, const struct shelf *shelf, pc_errors *errors) {
    struct names names = {0};
    for (size_t i = 0; i < shelf->count; i++)
        list_directory(shelf->directory[i], &names);
    if (names.count == 0)
        return no_shelf(name, shelf, errors);
    qsort(names.name, names.count, sizeof names.name[0], by_name);
    const char *list[NAMES_MOST + 1];
    char all[300] = "";
    size_t used = 0, kept = 0;
    for (size_t i = 0; i < names.count; i++) {
        if (kept > 0 && strcmp(list[kept - 1], names.name[i]) == 0)
            continue;
        list[kept++] = names.name[i];
        int n = snprintf(all + used, sizeof all - used, "%s%s", used ? ", " : "", names.name[i]);
        used += n > 0 && (size_t)n < sizeof all - used ? (size_t)n : 0;
    }
    list[kept] = NULL;
    const char *near = pci_nearest_word(name, list);
    if (near)
        return pc_errors_add(errors, PC_E_FILE, (pc_place){.value = name},
                             "no resin \"%.80s\" on the shelf: did you mean %s? There are: %s",
                             name, near, all);
    return pc_errors_add(errors, PC_E_FILE, (pc_place){.value = name},
                         "no resin \"%.80s\" on the shelf. There are: %s. Or give the path of a "
                         "file, such as ./%.60s.ini; POURCLOCK_SHELF names a shelf of your own",
                         name, all, name);
}

pc_status pc_resin_find(const char *name, const char *beside, pc_resin *resin, pc_errors *errors) {
    if (!name || !*name || !resin)
        return pc_errors_add(errors, PC_E_ARGUMENT, PC_NOWHERE, "no name of a resin");
    char path[PATH_SIZE + 256];
    if (strchr(name, '/') || strchr(name, '.') || strcmp(name, "-") == 0) {
        if (!pci_path_beside(name, beside, path, sizeof path))
            return pc_errors_add(errors, PC_E_SIZE, (pc_place){.value = name}, "path too long");
        return pc_resin_read(path, resin, errors);
    }
    struct shelf shelf;
    find_shelves(&shelf);
    for (size_t i = 0; i < shelf.count; i++) {
        int n = snprintf(path, sizeof path, "%s/%s.ini", shelf.directory[i], name);
        if (n > 0 && (size_t)n < sizeof path && access(path, F_OK) == 0)
            return pc_resin_read(path, resin, errors);
    }
    return not_on_shelf(name, &shelf, errors);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shelf: folders of resin files and of filler files, and last the files built into the library.
 */
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/text.h"
#include "base/try.h"
#include "input/whole_file.h"
#include "pourclock/resin.h"
#include "resin/cure_rate.h"
#include "sheet/filler_file.h"
#include "sheet/resin_file.h"
#include "sheet/shelf_data.h"

enum {
    FOLDERS = 3,
    PATH_SIZE = 1024,
    NAME_SIZE = sizeof((pc_shelf_resin *)0)->name,
    RESINS_MOST = 256,
    BUILT_IN_COUNT = sizeof shelf_data / sizeof shelf_data[0],
};

/* What stands on a shelf: its word, and its folder below the installed data, the user's own, and
 * POURCLOCK_SHELF. */
struct goods {
    const char *word, *folder, *below_data, *below_shelf, *installed;
};

static const struct goods resins = {"resin", "resins", "/pourclock/resins", "", PC_SHELF_DIR};
static const struct goods fillers = {"filler", "fillers", "/pourclock/fillers", "/fillers",
                                     PC_SHELF_DIR "/../fillers"};

struct folders {
    size_t count;
    char path[FOLDERS][PATH_SIZE];
};

/* One of the goods with the number of its folder; the built-in ones are as in the folder after the
 * last. */
struct shelf_place {
    char name[NAME_SIZE];
    size_t folder;
};

struct shelf {
    struct folders folders;
    size_t count;
    struct shelf_place place[RESINS_MOST];
};

static void add_folder(struct folders *folders, const char *root, const char *rest) {
    if (!root || !*root)
        return;
    int n = snprintf(folders->path[folders->count], PATH_SIZE, "%s%s", root, rest);
    if (n > 0 && n < PATH_SIZE)
        folders->count++;
}

static void find_folders(const struct goods *goods, struct folders *folders) {
    char home[64];
    folders->count = 0;
    add_folder(folders, getenv("POURCLOCK_SHELF"), goods->below_shelf);
    const char *data = getenv("XDG_DATA_HOME");
    snprintf(home, sizeof home, "/.local/share%s", goods->below_data);
    if (data && data[0] == '/') /* others are to be ignored: XDG Base Directory Specification */
        add_folder(folders, data, goods->below_data);
    else
        add_folder(folders, getenv("HOME"), home);
    add_folder(folders, goods->installed, "");
}

static void add_place(struct shelf *shelf, const char *name, size_t length, size_t folder) {
    if (shelf->count == RESINS_MOST || length == 0 || length >= NAME_SIZE)
        return;
    struct shelf_place *place = &shelf->place[shelf->count++];
    memcpy(place->name, name, length);
    place->name[length] = '\0';
    place->folder = folder;
}

static void add_places_of(struct shelf *shelf, size_t folder) {
    DIR *directory = opendir(shelf->folders.path[folder]);
    if (!directory)
        return;
    for (struct dirent *entry; (entry = readdir(directory));) {
        size_t n = strlen(entry->d_name);
        if (n > 4 && entry->d_name[0] != '.' && strcmp(entry->d_name + n - 4, ".ini") == 0)
            add_place(shelf, entry->d_name, n - 4, folder);
    }
    closedir(directory);
}

static int by_name_then_folder(const void *a, const void *b) {
    const struct shelf_place *p = a, *q = b;
    int order = strcmp(p->name, q->name);
    return order ? order : (p->folder > q->folder) - (p->folder < q->folder);
}

/* Each of the goods once, by name, from the first folder that has it. */
static void read_shelf(const struct goods *goods, struct shelf *shelf) {
    find_folders(goods, &shelf->folders);
    shelf->count = 0;
    for (size_t i = 0; i < BUILT_IN_COUNT; i++)
        if (strcmp(shelf_data[i].folder, goods->folder) == 0)
            add_place(shelf, shelf_data[i].name, strlen(shelf_data[i].name), shelf->folders.count);
    for (size_t i = 0; i < shelf->folders.count; i++)
        add_places_of(shelf, i);
    qsort(shelf->place, shelf->count, sizeof shelf->place[0], by_name_then_folder);
    size_t kept = 0;
    for (size_t i = 0; i < shelf->count; i++)
        if (kept == 0 || strcmp(shelf->place[kept - 1].name, shelf->place[i].name) != 0)
            shelf->place[kept++] = shelf->place[i];
    shelf->count = kept;
}

size_t pc_shelf_list(size_t most, pc_shelf_resin *resin) {
    struct shelf shelf;
    read_shelf(&resins, &shelf);
    for (size_t i = 0; resin && i < shelf.count && i < most; i++) {
        const struct shelf_place *place = &shelf.place[i];
        resin[i].built_in = place->folder == shelf.folders.count;
        pci_copy_text(resin[i].name, sizeof resin[i].name, place->name);
        pci_copy_text(resin[i].folder, sizeof resin[i].folder,
                      resin[i].built_in ? "" : shelf.folders.path[place->folder]);
    }
    return shelf.count;
}

static pc_status not_on_shelf(const struct goods *goods, const char *name, pc_errors *errors) {
    struct shelf shelf;
    read_shelf(goods, &shelf);
    const char *names[RESINS_MOST + 1];
    char all[300] = "";
    size_t used = 0;
    for (size_t i = 0; i < shelf.count; i++) {
        names[i] = shelf.place[i].name;
        int n = snprintf(all + used, sizeof all - used, "%s%s", used ? ", " : "", names[i]);
        used += n > 0 && (size_t)n < sizeof all - used ? (size_t)n : 0;
    }
    all[used] = '\0';
    names[shelf.count] = NULL;
    const char *near = pci_nearest_word(name, names);
    if (near)
        return pc_errors_add(errors, PC_E_FILE, (pc_place){.value = name},
                             "no %s \"%.80s\" on the shelf: did you mean %s? There are: %s",
                             goods->word, name, near, all);
    return pc_errors_add(errors, PC_E_FILE, (pc_place){.value = name},
                         "no %s \"%.80s\" on the shelf. There are: %s. Or give the path of a "
                         "file, such as ./%.60s.ini; POURCLOCK_SHELF names a shelf of your own",
                         goods->word, name, all, name);
}

/* Where one of the goods is: a path, or the bytes that are built in under a name. */
struct found {
    char path[PATH_SIZE + 256];
    const unsigned char *bytes; /* NULL: at the path */
    size_t size;
};

static pc_status find_built_in(const struct goods *goods, const char *name, struct found *found,
                               pc_errors *errors) {
    for (size_t i = 0; i < BUILT_IN_COUNT; i++) {
        if (strcmp(goods->folder, shelf_data[i].folder) != 0 ||
            strcmp(name, shelf_data[i].name) != 0)
            continue;
        snprintf(found->path, sizeof found->path, "%s (built in)", name);
        found->bytes = shelf_data[i].bytes;
        found->size = shelf_data[i].size;
        return PC_OK;
    }
    return not_on_shelf(goods, name, errors);
}

static pc_status find_goods(const struct goods *goods, const char *name, const char *beside,
                            struct found *found, pc_errors *errors) {
    char *path = found->path;
    found->bytes = NULL;
    if (strchr(name, '/') || strchr(name, '.') || strcmp(name, "-") == 0) {
        if (!pci_path_beside(name, beside, path, sizeof found->path))
            return pc_errors_add(errors, PC_E_SIZE, (pc_place){.value = name}, "path too long");
        return PC_OK;
    }
    struct folders folders;
    find_folders(goods, &folders);
    for (size_t i = 0; i < folders.count; i++) {
        int n = snprintf(path, sizeof found->path, "%s/%s.ini", folders.path[i], name);
        if (n > 0 && (size_t)n < sizeof found->path && access(path, F_OK) == 0)
            return PC_OK;
    }
    return find_built_in(goods, name, found, errors);
}

pc_status pc_resin_find(const char *name, const char *beside, pc_resin *resin, pc_errors *errors) {
    struct found found;
    if (!name || !*name || !resin)
        return pc_errors_add(errors, PC_E_ARGUMENT, PC_NOWHERE, "no name of a resin");
    PCI_TRY(find_goods(&resins, name, beside, &found, errors));
    return found.bytes
               ? pci_resin_parse(found.path, (const char *)found.bytes, found.size, resin, errors)
               : pci_resin_read(found.path, resin, errors);
}

pc_status pci_filler_find(const char *name, const char *beside, pc_filler *filler,
                          pc_errors *errors) {
    struct found found;
    PCI_TRY(find_goods(&fillers, name, beside, &found, errors));
    return found.bytes
               ? pci_filler_parse(found.path, (const char *)found.bytes, found.size, filler, errors)
               : pci_filler_read(found.path, filler, errors);
}

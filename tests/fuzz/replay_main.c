/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs a fuzz target over files and folders given, or over its own corpus. A file named good-* must
 * be taken and one named bad-* refused; others must only not break a promise. */
#include <dirent.h>
#include <string.h>
#include <sys/stat.h>

#include "fuzz.h"

static int passed, failed;

static uint8_t *whole(const char *path, size_t *size) {
    FILE *file = fopen(path, "rb");
    if (!file)
        return NULL;
    uint8_t *data = NULL;
    if (fseek(file, 0, SEEK_END) == 0) {
        long end = ftell(file);
        rewind(file);
        /* exactly as long as the file, so that a sanitizer sees a read behind it */
        data = end >= 0 ? malloc((size_t)end + (end == 0)) : NULL;
        *size = data ? fread(data, 1, (size_t)end, file) : 0;
    }
    fclose(file);
    return data;
}

static void replay(const char *path) {
    size_t size;
    uint8_t *data = whole(path, &size);
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    if (!data) {
        printf("%s: cannot be read\n", path);
        failed++;
        return;
    }
    bool taken = fuzz_accepts(data, size);
    free(data);
    bool wrong = (!strncmp(name, "good-", 5) && !taken) || (!strncmp(name, "bad-", 4) && taken);
    if (wrong)
        printf("%s: was %s\n", path, taken ? "taken" : "refused");
    failed += wrong;
    passed += !wrong;
}

static void walk(const char *path) {
    struct stat info;
    if (stat(path, &info) != 0 || !S_ISDIR(info.st_mode)) {
        replay(path);
        return;
    }
    struct dirent **list;
    int n = scandir(path, &list, NULL, alphasort);
    for (int i = 0; i < n; i++) {
        char inside[1024];
        snprintf(inside, sizeof inside, "%s/%s", path, list[i]->d_name);
        if (list[i]->d_name[0] != '.')
            walk(inside);
        free(list[i]);
    }
    if (n >= 0)
        free(list);
}

int main(int argc, char **argv) {
    setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
    for (int i = 1; i < argc; i++)
        walk(argv[i]);
    if (argc == 1)
        walk(TEST_SRCDIR "/tests/fuzz/corpus/" FUZZ_NAME);
    printf("%s: %d passed, %d failed\n", FUZZ_NAME, passed, failed);
    return failed > 0 || passed == 0;
}

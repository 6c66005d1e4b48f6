/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading and updating of case files. */
#include "config.h"

#include "cases.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool lines_add(struct lines *lines, const char *text, size_t length) {
    if (lines->count == lines->capacity) {
        size_t capacity = lines->capacity ? 2 * lines->capacity : 16;
        char **item = realloc(lines->item, capacity * sizeof *item);
        if (!item)
            return false;
        lines->item = item;
        lines->capacity = capacity;
    }
    char *copy = malloc(length + 1);
    if (!copy)
        return false;
    memcpy(copy, text, length);
    copy[length] = '\0';
    lines->item[lines->count++] = copy;
    return true;
}

bool lines_read(const char *path, struct lines *lines) {
    FILE *file = fopen(path, "r");
    if (!file)
        return false;
    char *text = NULL;
    size_t room = 0;
    ssize_t n;
    bool ok = true;
    while (ok && (n = getline(&text, &room, file)) >= 0) {
        bool ended = n > 0 && text[n - 1] == '\n';
        ok = lines_add(lines, text, (size_t)n - ended);
        if (!ended) /* shown, so that a missing line end at the end is a difference */
            ok = ok && lines_add(lines, "[no line end]", 13);
    }
    free(text);
    return fclose(file) == 0 && ok;
}

void lines_free(struct lines *lines) {
    for (size_t i = 0; i < lines->count; i++)
        free(lines->item[i]);
    free(lines->item);
    *lines = (struct lines){0};
}

static bool starts(const char *text, const char *with) {
    return strncmp(text, with, strlen(with)) == 0;
}

static bool ends(const char *text, const char *with) {
    size_t n = strlen(text), m = strlen(with);
    return n >= m && strcmp(text + n - m, with) == 0;
}

static struct one_case *new_case(struct case_file *file, const char *name, size_t line) {
    if (file->case_count == file->case_capacity) {
        size_t capacity = file->case_capacity ? 2 * file->case_capacity : 16;
        struct one_case *item = realloc(file->item, capacity * sizeof *item);
        if (!item)
            return NULL;
        file->item = item;
        file->case_capacity = capacity;
    }
    struct one_case *c = &file->item[file->case_count++];
    memset(c, 0, sizeof *c);
    snprintf(c->name, sizeof c->name, "%s", name);
    c->first_line = line;
    return c;
}

static bool wrong(struct case_file *file, size_t line, const char *what) {
    snprintf(file->why, sizeof file->why, "line %zu: %s", line + 1, what);
    return false;
}

static bool add_pattern(struct one_case *c, const char *regex, bool on_stderr, bool absent) {
    if (c->pattern_count == sizeof c->pattern / sizeof c->pattern[0])
        return false;
    c->pattern[c->pattern_count++] = (struct pattern){regex, on_stderr, absent};
    return true;
}

/* Adds a line of an exact block and notes where the block stands in the file. */
static bool add_exact(struct lines *lines, const char *text, size_t line, size_t *first,
                      size_t *end) {
    if (lines->count == 0)
        *first = line;
    *end = line + 1;
    return lines_add(lines, text, strlen(text));
}

/* "> text"; a line of nothing may leave the blank away. */
static const char *behind_mark(const char *text) {
    return text[1] == ' ' ? text + 2 : text + 1;
}

static bool case_line(struct one_case *c, const char *t, size_t i) {
    if (starts(t, "$ ")) {
        c->command = t + 2;
        return true;
    }
    if (t[0] == '<' && (t[1] == ' ' || !t[1]))
        return lines_add(&c->stdin_lines, behind_mark(t), strlen(behind_mark(t)));
    if (t[0] == '>' && (t[1] == ' ' || !t[1]))
        return add_exact(&c->out, behind_mark(t), i, &c->block_first, &c->block_end);
    if (t[0] == '!' && (t[1] == ' ' || !t[1]))
        return add_exact(&c->err, behind_mark(t), i, &c->err_first, &c->err_end);
    if (starts(t, "out~ ") || starts(t, "err~ "))
        return add_pattern(c, t + 5, t[0] == 'e', false);
    if (starts(t, "out!~ ") || starts(t, "err!~ "))
        return add_pattern(c, t + 6, t[0] == 'e', true);
    if (starts(t, "exit ")) {
        c->exit_expected = atoi(t + 5);
        c->exit_line = i;
        return true;
    }
    if (starts(t, "file ") && c->file_count < 16) {
        snprintf(c->file_name[c->file_count++], 64, "%s", t + 5);
        return true;
    }
    if (t[0] == '+' && (t[1] == ' ' || !t[1]) && c->file_count > 0)
        return lines_add(&c->file_lines[c->file_count - 1], behind_mark(t), strlen(behind_mark(t)));
    return false;
}

static bool read_cases(struct case_file *file) {
    struct one_case *c = NULL;
    for (size_t i = 0; i < file->line.count; i++) {
        const char *t = file->line.item[i];
        if (t[0] == '\0' || t[0] == '#')
            continue;
        if (starts(t, "== ")) {
            if (c && !c->command)
                return wrong(file, c->first_line, "a case without a command");
            c = new_case(file, t + 3, i);
            if (!c)
                return wrong(file, i, "out of memory");
        } else if (!c || !case_line(c, t, i)) {
            return wrong(file, i, "not understood");
        }
    }
    return (c && c->command) || wrong(file, 0, "a case without a command");
}

/* A dialogue in lines first to end - 1. */
static bool read_dialogue(struct case_file *file, size_t first, size_t end) {
    struct one_case *c = NULL;
    for (size_t i = first; i < end; i++) {
        const char *t = file->line.item[i];
        if (starts(t, "$ ")) {
            c = new_case(file, t + 2, i);
            if (!c)
                return wrong(file, i, "out of memory");
            c->command = t + 2;
            c->dialogue = true;
            c->block_first = c->block_end = i + 1;
        } else if (c && starts(t, "[exit ") && ends(t, "]")) {
            c->exit_expected = atoi(t + 6);
            c->exit_line = i;
        } else if (c) {
            if (t[0]) /* blank lines at the end are not the output's: an update keeps them */
                c->block_end = i + 1;
            if (!lines_add(&c->out, t, strlen(t)))
                return wrong(file, i, "out of memory");
        }
    }
    return true;
}

/* A block that must be the same as a file of the tree. */
static bool read_same_file(struct case_file *file, const char *name, size_t first, size_t end) {
    struct one_case *c = new_case(file, name, first);
    if (!c)
        return wrong(file, first, "out of memory");
    c->command = name;
    c->same_file = true;
    c->block_first = first;
    c->block_end = end;
    for (size_t i = first; i < end; i++)
        if (!lines_add(&c->out, file->line.item[i], strlen(file->line.item[i])))
            return wrong(file, i, "out of memory");
    return true;
}

/* A line of a man page as it is printed: \\& is nothing, \\- a dash, \\e a backslash. */
static void unescape(char *text) {
    char *to = text;
    for (const char *from = text; *from; from++) {
        if (from[0] != '\\' || !from[1]) {
            *to++ = *from;
            continue;
        }
        from++;
        if (*from == 'e')
            *to++ = '\\';
        else if (*from != '&')
            *to++ = *from;
    }
    *to = '\0';
}

static bool read_blocks(struct case_file *file, const char *open, const char *close) {
    for (size_t i = 0; i < file->line.count; i++) {
        const char *t = file->line.item[i];
        if (!starts(t, open))
            continue;
        size_t end = i + 1;
        while (end < file->line.count && !starts(file->line.item[end], close))
            end++;
        if (end == file->line.count)
            return wrong(file, i, "a block that does not end");
        const char *name = strchr(t, ' ');
        bool of_file = open[0] == '`' && name && strchr(name, '/');
        if (of_file ? !read_same_file(file, name + 1, i + 1, end)
                    : !read_dialogue(file, i + 1, end))
            return false;
        i = end;
    }
    return true;
}

bool case_file_read(const char *path, struct case_file *file) {
    file->path = path;
    if (!lines_read(path, &file->line)) {
        snprintf(file->why, sizeof file->why, "cannot be read");
        return false;
    }
    if (ends(path, ".case"))
        return read_cases(file);
    if (ends(path, ".md"))
        return read_blocks(file, "```", "```");
    if (ends(path, ".expected"))
        return read_dialogue(file, 0, file->line.count);
    for (size_t i = 0; i < file->line.count; i++)
        unescape(file->line.item[i]);
    return read_blocks(file, ".Bd", ".Ed");
}

static void write_block(FILE *to, const struct lines *lines, const char *mark) {
    size_t count = lines->count;
    while (!mark[0] && count > 0 && !lines->item[count - 1][0])
        count--; /* the file keeps its own blank lines at the end of a dialogue */
    for (size_t i = 0; i < count; i++)
        fprintf(to, "%s%s%s\n", mark, mark[0] && lines->item[i][0] ? " " : "", lines->item[i]);
}

static bool has_dots(const struct lines *lines) {
    for (size_t i = 0; i < lines->count; i++)
        if (strcmp(lines->item[i], "...") == 0)
            return true;
    return false;
}

/* What case c puts at line i of the file instead of what stands there; *next is the line to go on
 * with. False: nothing. */
static bool replaced(FILE *to, const struct one_case *c, size_t i, size_t *next) {
    if (c->exit_line == i && i > 0 && c->exit_got != c->exit_expected) {
        if (!c->dialogue)
            fprintf(to, "exit %d\n", c->exit_got);
        else if (c->exit_got)
            fprintf(to, "[exit %d]\n", c->exit_got);
        *next = i + 1;
        return true;
    }
    bool has_out = c->dialogue || c->same_file || c->out.count > 0;
    if (has_out && i == c->block_first && !has_dots(&c->out)) {
        write_block(to, &c->out_got, c->dialogue || c->same_file ? "" : ">");
        if (c->dialogue)
            write_block(to, &c->err_got, "");
        if (c->dialogue && c->exit_got && !c->exit_line)
            fprintf(to, "[exit %d]\n", c->exit_got);
        *next = c->block_end;
        return true;
    }
    if (c->err.count > 0 && i == c->err_first) {
        write_block(to, &c->err_got, "!");
        *next = c->err_end;
        return true;
    }
    return false;
}

bool case_file_update(const struct case_file *file) {
    if (!ends(file->path, ".case") && !ends(file->path, ".md") && !ends(file->path, ".expected"))
        return false; /* a man page has lost its escapes */
    FILE *to = fopen(file->path, "w");
    if (!to)
        return false;
    for (size_t i = 0; i <= file->line.count;) {
        size_t next = i + 1;
        bool done = false;
        for (size_t k = 0; k < file->case_count && !done; k++)
            done = replaced(to, &file->item[k], i, &next);
        if (done && next == i) /* an empty block: what stands here stays */
            done = false, next = i + 1;
        if (!done && i < file->line.count)
            fprintf(to, "%s\n", file->line.item[i]);
        i = next;
    }
    return fclose(to) == 0;
}

void case_file_free(struct case_file *file) {
    for (size_t i = 0; i < file->case_count; i++) {
        struct one_case *c = &file->item[i];
        lines_free(&c->stdin_lines);
        lines_free(&c->out);
        lines_free(&c->err);
        lines_free(&c->out_got);
        lines_free(&c->err_got);
        for (size_t k = 0; k < c->file_count; k++)
            lines_free(&c->file_lines[k]);
    }
    free(file->item);
    lines_free(&file->line);
}

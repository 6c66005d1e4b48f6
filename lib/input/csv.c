/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/csv.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "input/whole_file.h"

struct csv_reader {
    pci_csv *csv;
    pc_errors *errors;
    pc_status status;
    long line;
    size_t capacity; /* rows there is room for */
    char *field[PCI_CSV_COLUMNS_MOST];
    size_t fields;
};

static void refuse(struct csv_reader *r, pc_status status, const char *text) {
    pc_errors_add(r->errors, status, (pc_place){.file = r->csv->file, .line = r->line}, "%s", text);
    if (r->status == PC_OK)
        r->status = status;
}

static void drop_fields(struct csv_reader *r) {
    while (r->fields > 0)
        free(r->field[--r->fields]);
}

/* Reads the cell at *p (before end) into text, which has room; moves *p to the comma or end.
 * Returns NULL, or what is wrong. */
static const char *one_cell(const char **p, const char *end, char *text) {
    const char *q = *p;
    size_t used = 0;
    while (q < end && (*q == ' ' || *q == '\t'))
        q++;
    if (q < end && *q == '"') {
        for (q++; q < end; q++) {
            if (*q == '"' && (q + 1 == end || q[1] != '"'))
                break;
            q += *q == '"';
            text[used++] = *q;
        }
        if (q == end)
            return "a quote is opened and not closed in this line";
        for (q++; q < end && (*q == ' ' || *q == '\t'); q++)
            ;
        if (q < end && *q != ',')
            return "text after a closing quote: quote the whole cell";
    } else {
        for (; q < end && *q != ','; q++) {
            if (*q == '"')
                return "a quote inside a cell: quote the whole cell and double the quote";
            text[used++] = *q;
        }
        while (used > 0 && (text[used - 1] == ' ' || text[used - 1] == '\t'))
            used--;
    }
    text[used] = '\0';
    *p = q;
    return NULL;
}

static bool split(struct csv_reader *r, const char *p, const char *end) {
    for (;;) {
        char *text = r->fields < PCI_CSV_COLUMNS_MOST ? malloc((size_t)(end - p) + 1) : NULL;
        if (!text) {
            bool full = r->fields == PCI_CSV_COLUMNS_MOST;
            refuse(r, full ? PC_E_SIZE : PC_E_MEMORY,
                   full ? "more than 32 columns: too many" : "out of memory");
            return false;
        }
        r->field[r->fields++] = text;
        const char *wrong = one_cell(&p, end, text);
        if (wrong) {
            refuse(r, PC_E_SYNTAX, wrong);
            return false;
        }
        for (char *c = text; *c; c++)
            if (*c == '\t')
                *c = ' ';
        if (!pci_text_shows(text)) {
            refuse(r, PC_E_SYNTAX, PCI_NOT_SHOWN);
            return false;
        }
        if (p == end)
            return true;
        p++;
    }
}

static bool take_header(struct csv_reader *r) {
    pci_csv *csv = r->csv;
    for (size_t i = 0; i < r->fields; i++) {
        if (!*r->field[i]) {
            refuse(r, PC_E_SYNTAX, "a column of the header has no name");
            return false;
        }
        for (size_t j = 0; j < i; j++)
            if (pci_same_word(r->field[i], r->field[j])) {
                refuse(r, PC_E_KEY, "two columns of the header have the same name");
                return false;
            }
    }
    csv->header = malloc(r->fields * sizeof *csv->header);
    if (!csv->header) {
        refuse(r, PC_E_MEMORY, "out of memory");
        return false;
    }
    memcpy(csv->header, r->field, r->fields * sizeof *csv->header);
    csv->columns = r->fields;
    csv->header_line = r->line;
    r->fields = 0;
    return true;
}

static bool grow(struct csv_reader *r) {
    pci_csv *csv = r->csv;
    if (csv->rows < r->capacity)
        return true;
    size_t capacity = r->capacity ? 2 * r->capacity : 64;
    char **cell = realloc(csv->cell, capacity * csv->columns * sizeof *cell);
    if (cell)
        csv->cell = cell;
    long *line = realloc(csv->line, capacity * sizeof *line);
    if (line)
        csv->line = line;
    if (cell && line)
        r->capacity = capacity;
    return cell && line;
}

static bool take_row(struct csv_reader *r) {
    pci_csv *csv = r->csv;
    if (r->fields != csv->columns) {
        pc_errors_add(r->errors, PC_E_SYNTAX, (pc_place){.file = csv->file, .line = r->line},
                      "%zu cells, the header has %zu columns: quote a cell that holds a comma",
                      r->fields, csv->columns);
        if (r->status == PC_OK)
            r->status = PC_E_SYNTAX;
        drop_fields(r);
        return true;
    }
    bool full = csv->rows == PCI_CSV_ROWS_MOST;
    if (full || !grow(r)) {
        refuse(r, full ? PC_E_SIZE : PC_E_MEMORY,
               full ? "more than 20000 rows: too many" : "out of memory");
        return false;
    }
    memcpy(csv->cell + csv->rows * csv->columns, r->field, r->fields * sizeof *r->field);
    csv->line[csv->rows++] = r->line;
    r->fields = 0;
    return true;
}

static bool one_line(struct csv_reader *r, const char *p, const char *end) {
    if (end > p && end[-1] == '\r')
        end--;
    const char *q = p;
    while (q < end && (*q == ' ' || *q == '\t'))
        q++;
    if (q == end || *q == '#')
        return true;
    for (q = p; q < end; q++)
        if (((unsigned char)*q < 0x20 && *q != '\t') || *q == 0x7F) {
            refuse(r, PC_E_SYNTAX, "a control byte in this line: is it a text file?");
            return false;
        }
    if (!split(r, p, end)) {
        drop_fields(r);
        return r->status == PC_E_SYNTAX && r->csv->header != NULL;
    }
    return r->csv->header ? take_row(r) : take_header(r);
}

static pc_status parse(const char *file, const char *data, size_t size, bool bare, pci_csv *csv,
                       pc_errors *errors) {
    memset(csv, 0, sizeof *csv);
    pci_copy_text(csv->file, sizeof csv->file, file);
    struct csv_reader r = {csv, errors, PC_OK, 0, 0, {NULL}, 0};
    if (size >= 3 && memcmp(data, "\xEF\xBB\xBF", 3) == 0) /* spreadsheets write one */
        data += 3, size -= 3;
    for (size_t at = 0; at < size;) {
        const char *end = memchr(data + at, '\n', size - at);
        size_t n = end ? (size_t)(end - data) - at : size - at;
        r.line++;
        if (!one_line(&r, data + at, data + at + n))
            break;
        at += n + (end != NULL);
    }
    drop_fields(&r);
    r.line = 0;
    if (r.status == PC_OK && !csv->header)
        refuse(&r, PC_E_SYNTAX, "the file is empty: a header line and rows were expected");
    else if (r.status == PC_OK && csv->rows == 0 && !bare)
        refuse(&r, PC_E_SYNTAX, "a header without rows");
    return r.status;
}

pc_status pci_csv_parse(const char *file, const char *data, size_t size, pci_csv *csv,
                        pc_errors *errors) {
    return parse(file, data, size, false, csv, errors);
}

static pc_status read_file(const char *path, bool bare, pci_csv *csv, pc_errors *errors) {
    memset(csv, 0, sizeof *csv);
    pci_file_bytes bytes;
    PCI_TRY(pci_file_read(path, PCI_CSV_BYTES_MOST, &bytes, errors));
    pc_status status = parse(pci_file_label(path), bytes.data, bytes.size, bare, csv, errors);
    pci_file_free(&bytes);
    return status;
}

pc_status pci_csv_read(const char *path, pci_csv *csv, pc_errors *errors) {
    return read_file(path, false, csv, errors);
}

pc_status pci_csv_read_bare(const char *path, pci_csv *csv, pc_errors *errors) {
    return read_file(path, true, csv, errors);
}

void pci_csv_free(pci_csv *csv) {
    if (!csv)
        return;
    for (size_t i = 0; i < csv->columns; i++)
        free(csv->header[i]);
    for (size_t i = 0; i < csv->rows * csv->columns; i++)
        free(csv->cell[i]);
    free(csv->header);
    free(csv->cell);
    free(csv->line);
    memset(csv, 0, sizeof *csv);
}

long pci_csv_column(const pci_csv *csv, const char *name) {
    for (size_t i = 0; i < csv->columns; i++)
        if (pci_same_word(csv->header[i], name))
            return (long)i;
    return -1;
}

const char *pci_csv_cell(const pci_csv *csv, size_t row, size_t column) {
    return csv->cell[row * csv->columns + column];
}

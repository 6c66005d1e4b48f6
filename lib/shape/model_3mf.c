/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/dimensions.h"
#include "base/grow.h"
#include "base/text.h"
#include "shape/read_3mf.h"

#define CORE       "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
#define PRODUCTION "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
#define MODEL_TYPE "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
#define RELATIONS  "_rels/.rels"
enum { PARTS_MOST = 1000, OBJECTS_MOST = 100000, USES_MOST = 100000, PREFIXES_MOST = 32 };

/* Extensions that change no mesh: what requires another cannot be read. */
static const char *const known[] = {CORE, PRODUCTION,
                                    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02",
                                    "http://schemas.microsoft.com/3dmanufacturing/content/2015/05"};

static const struct {
    const char *word, *unit;
    double scale;
} units[] = {{"micron", "mm", 1e-3}, {"millimeter", "mm", 1.0}, {"centimeter", "cm", 1.0},
             {"inch", "in", 1.0},    {"foot", "ft", 1.0},       {"meter", "m", 1.0}};

typedef struct prefix {
    char word[32], uri[128];
} prefix;

typedef struct reading {
    pci_3mf_model *model;
    const char *name, *path;
    pc_errors *errors;
    XML_Parser parser;
    pc_status status;
    size_t part;    /* being read */
    double scale;   /* of its unit to the root's */
    bool in_object; /* the last of the model's */
    prefix prefix[PREFIXES_MOST];
    size_t prefixes;
    char root[256]; /* what the relations name */
} reading;

static void stop(reading *r, pc_status status, const char *what, const char *which) {
    if (r->status != PC_OK)
        return;
    r->status =
        pc_errors_add(r->errors, status, (pc_place){.file = r->name}, "%.100s: line %lu: %s%.60s",
                      r->path, (unsigned long)XML_GetCurrentLineNumber(r->parser), what, which);
    XML_StopParser(r->parser, XML_FALSE);
}

/* Room for one more in a list; false, with the error, where there is none. */
static bool grow(reading *r, void **list, size_t count, size_t *room, size_t size, size_t most,
                 const char *what) {
    if (count < *room)
        return true;
    if (count >= most) {
        stop(r, PC_E_SIZE, what, "");
        return false;
    }
    void *more = pci_grown(*list, count, room, size);
    if (more)
        *list = more;
    else
        stop(r, PC_E_MEMORY, "out of memory", "");
    return more != NULL;
}

/* The local name of an element or attribute in a namespace, or NULL. */
static const char *local(const char *name, const char *uri) {
    size_t n = strlen(uri);
    return strncmp(name, uri, n) == 0 && name[n] == '|' ? name + n + 1 : NULL;
}

static const char *attribute(const char **list, const char *name) {
    for (; *list; list += 2)
        if (strcmp(list[0], name) == 0)
            return list[1];
    return NULL;
}

static bool number_of(reading *r, const char **list, const char *name, double *value) {
    const char *text = attribute(list, name);
    if (text && pci_word_number(text, strlen(text), value))
        return true;
    stop(r, PC_E_SYNTAX, "expected a number as ", name);
    return false;
}

static bool count_of(reading *r, const char **list, const char *name, uint32_t *value) {
    const char *text = attribute(list, name);
    int64_t v;
    if (text && pci_word_integer(text, strlen(text), &v) && v >= 0 && v < UINT32_MAX) {
        *value = (uint32_t)v;
        return true;
    }
    stop(r, PC_E_SYNTAX, "expected a whole number as ", name);
    return false;
}

static size_t part_number(reading *r, const char *path) {
    pci_3mf_model *m = r->model;
    for (size_t i = 0; i < m->parts; i++)
        if (pci_same_word(m->part[i], path))
            return i;
    if (strlen(path) >= sizeof m->part[0]) {
        stop(r, PC_E_SYNTAX, "a path of more than 255 characters", "");
        return 0;
    }
    void *list = m->part;
    if (!grow(r, &list, m->parts, &m->part_room, sizeof *m->part, PARTS_MOST,
              "more than 1000 parts of one model: export the piece alone"))
        return 0;
    m->part = list;
    snprintf(m->part[m->parts], sizeof m->part[0], "%s", path);
    return m->parts++;
}

static void read_unit(reading *r, const char **list) {
    const char *word = attribute(list, "unit");
    size_t i = 1; /* millimeter, where none is stated */
    for (size_t k = 0; word && k <= sizeof units / sizeof units[0]; k++) {
        if (k == sizeof units / sizeof units[0]) {
            stop(r, PC_E_UNIT,
                 "unknown unit, expected micron, millimeter, centimeter, inch, foot "
                 "or meter: ",
                 word);
            return;
        }
        i = k;
        if (strcmp(units[k].word, word) == 0)
            break;
    }
    double m;
    pci_quantity_to_si(units[i].scale, units[i].unit, PC_LENGTH, &m);
    if (r->part == 0)
        r->model->unit_m = m;
    r->scale = m / r->model->unit_m;
}

/* "requiredextensions": prefixes, with blanks between, of what must be understood. */
static void check_required(reading *r, const char **list) {
    const char *p = attribute(list, "requiredextensions");
    while (p && *p && r->status == PC_OK) {
        size_t n = strcspn(p, " \t\r\n");
        const char *uri = NULL;
        for (size_t i = 0; i < r->prefixes; i++)
            if (strlen(r->prefix[i].word) == n && strncmp(r->prefix[i].word, p, n) == 0)
                uri = r->prefix[i].uri;
        bool fine = n == 0;
        for (size_t k = 0; uri && k < sizeof known / sizeof known[0]; k++)
            fine = fine || strcmp(known[k], uri) == 0;
        if (!fine)
            stop(r, PC_E_SYNTAX,
                 "needs an extension of 3MF that is not read: export plain meshes; ",
                 uri ? uri : p);
        p += n + (p[n] != '\0');
    }
}

static void start_object(reading *r, const char **list) {
    pci_3mf_model *m = r->model;
    uint32_t id;
    void *objects = m->object;
    if (!count_of(r, list, "id", &id) ||
        !grow(r, &objects, m->objects, &m->object_room, sizeof *m->object, OBJECTS_MOST,
              "more than 100000 objects: export the piece alone"))
        return;
    m->object = objects;
    const char *type = attribute(list, "type");
    m->object[m->objects++] = (pci_3mf_object){.part = r->part,
                                               .id = id,
                                               .support = type && strstr(type, "support") != NULL,
                                               .vertex = m->vertices,
                                               .triangle = m->triangles,
                                               .component = m->components};
    r->in_object = true;
}

static bool read_transform(reading *r, const char **list, double to[12]) {
    static const double plain[12] = {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0};
    const char *p = attribute(list, "transform");
    memcpy(to, plain, sizeof plain);
    for (size_t i = 0; p && i < 12; i++) {
        p += strspn(p, " \t\r\n");
        size_t n = strcspn(p, " \t\r\n");
        if (!pci_word_number(p, n, &to[i])) {
            stop(r, PC_E_SYNTAX, "a transform needs twelve numbers", "");
            return false;
        }
        p += n;
    }
    for (size_t i = 9; i < 12; i++)
        to[i] *= r->scale;
    return true;
}

/* An item or component: an object, in this part or another, and where it goes. */
static void read_use(reading *r, const char **list, pci_3mf_use **uses, size_t *count,
                     size_t *room) {
    const char *path = attribute(list, PRODUCTION "|path");
    pci_3mf_use use = {.part = path ? part_number(r, path) : r->part};
    void *more = *uses;
    if (!count_of(r, list, "objectid", &use.id) || !read_transform(r, list, use.to) ||
        !grow(r, &more, *count, room, sizeof **uses, USES_MOST,
              "more than 100000 components or items: export the piece alone"))
        return;
    *uses = more;
    (*uses)[(*count)++] = use;
}

static void read_vertex(reading *r, const char **list) {
    pci_3mf_model *m = r->model;
    double x[3];
    void *more = m->vertex;
    if (!number_of(r, list, "x", &x[0]) || !number_of(r, list, "y", &x[1]) ||
        !number_of(r, list, "z", &x[2]) ||
        !grow(r, &more, m->vertices, &m->vertex_room, 3 * sizeof *m->vertex, PCI_MESH_FACETS_MOST,
              "more than 2147483648 corners"))
        return;
    m->vertex = more;
    for (size_t a = 0; a < 3; a++)
        m->vertex[3 * m->vertices + a] = r->scale * x[a];
    m->vertices++;
    m->object[m->objects - 1].vertices++;
}

static void read_triangle(reading *r, const char **list) {
    pci_3mf_model *m = r->model;
    pci_3mf_object *o = &m->object[m->objects - 1];
    uint32_t v[3];
    void *more = m->triangle;
    if (!count_of(r, list, "v1", &v[0]) || !count_of(r, list, "v2", &v[1]) ||
        !count_of(r, list, "v3", &v[2]) ||
        !grow(r, &more, m->triangles, &m->triangle_room, 3 * sizeof *m->triangle,
              PCI_MESH_FACETS_MOST, "more than 2147483648 facets"))
        return;
    m->triangle = more;
    for (size_t a = 0; a < 3; a++) {
        if (v[a] >= o->vertices) {
            stop(r, PC_E_SYNTAX, "a triangle names a vertex that its mesh does not have", "");
            return;
        }
        m->triangle[3 * m->triangles + a] = v[a];
    }
    m->triangles++;
    o->triangles++;
}

static void XMLCALL start_element(void *context, const XML_Char *name, const XML_Char **list) {
    reading *r = XML_GetUserData(context);
    pci_3mf_model *m = r->model;
    const char *word = local(name, CORE);
    if (!word || r->status != PC_OK)
        return;
    if (strcmp(word, "vertex") == 0 && r->in_object) {
        read_vertex(r, list);
    } else if (strcmp(word, "triangle") == 0 && r->in_object) {
        read_triangle(r, list);
    } else if (strcmp(word, "object") == 0) {
        start_object(r, list);
    } else if (strcmp(word, "component") == 0 && r->in_object) {
        read_use(r, list, &m->component, &m->components, &m->component_room);
        m->object[m->objects - 1].components = m->components - m->object[m->objects - 1].component;
    } else if (strcmp(word, "item") == 0 && r->part == 0) {
        read_use(r, list, &m->item, &m->items, &m->item_room);
    } else if (strcmp(word, "model") == 0) {
        read_unit(r, list);
        check_required(r, list);
    }
}

static void XMLCALL end_element(void *context, const XML_Char *name) {
    reading *r = XML_GetUserData(context);
    const char *word = local(name, CORE);
    if (word && strcmp(word, "object") == 0)
        r->in_object = false;
}

static void XMLCALL see_prefix(void *context, const XML_Char *word, const XML_Char *uri) {
    reading *r = XML_GetUserData(context);
    if (!word || !uri || r->prefixes == PREFIXES_MOST)
        return;
    prefix *p = &r->prefix[r->prefixes];
    if (strlen(word) >= sizeof p->word || strlen(uri) >= sizeof p->uri)
        return;
    snprintf(p->word, sizeof p->word, "%s", word);
    snprintf(p->uri, sizeof p->uri, "%s", uri);
    r->prefixes++;
}

/* The root of the model, of the relations' elements. */
static void XMLCALL start_relation(void *context, const XML_Char *name, const XML_Char **list) {
    reading *r = XML_GetUserData(context);
    const char *type = attribute(list, "Type"), *target = attribute(list, "Target");
    (void)name;
    if (type && target && strcmp(type, MODEL_TYPE) == 0 && !r->root[0])
        snprintf(r->root, sizeof r->root, "%s", target);
}

static pc_status parse_part(reading *r, pci_package *package, const char *path,
                            XML_StartElementHandler start) {
    char copy[256]; /* the list of parts may move */
    snprintf(copy, sizeof copy, "%s", path);
    XML_Parser parser = XML_ParserCreateNS(NULL, '|');
    if (!parser)
        return pc_errors_add(r->errors, PC_E_MEMORY, (pc_place){.file = r->name}, "out of memory");
    r->parser = parser;
    r->path = copy;
    r->in_object = false;
    r->prefixes = 0;
    r->scale = 1.0;
    XML_SetUserData(parser, r);
    XML_SetElementHandler(parser, start, end_element);
    XML_SetStartNamespaceDeclHandler(parser, see_prefix);
    pc_status status = pci_package_parse(package, copy, parser, &r->status);
    XML_ParserFree(parser);
    return status;
}

pc_status pci_3mf_model_read(pci_package *package, const char *name, pc_errors *errors,
                             pci_3mf_model *model) {
    memset(model, 0, sizeof *model);
    reading r = {.model = model, .name = name, .errors = errors};
    pc_status status = parse_part(&r, package, RELATIONS, start_relation);
    if (status == PC_OK && !r.root[0])
        status = pc_errors_add(errors, PC_E_SYNTAX, (pc_place){.file = name},
                               "is a ZIP file without a 3D model: is it a 3MF file?");
    if (status == PC_OK)
        part_number(&r, r.root);
    for (r.part = 0; status == PC_OK && r.part < model->parts; r.part++)
        status = parse_part(&r, package, model->part[r.part], start_element);
    return status;
}

void pci_3mf_model_free(pci_3mf_model *model) {
    free(model->part);
    free(model->object);
    free(model->vertex);
    free(model->triangle);
    free(model->component);
    free(model->item);
    memset(model, 0, sizeof *model);
}

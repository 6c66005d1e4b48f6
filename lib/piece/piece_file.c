/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "piece/piece_file.h"
#include "shape/mesh_shape.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "film/film_sums.h"
#include "input/whole_file.h"
#include "piece/edges.h"
#include "piece/mixes.h"
#include "piece/shop_file.h"
#include "piece/supplies_order.h"
#include "pourclock/film.h"

/* The inner speed of a record as the file states it, and back to relative. */
static void inner_as_stated(pc_turning *turning) {
    if (turning->inner_absolute)
        turning->inner_rad_s += turning->outer_rad_s;
}

static void inner_relative(pc_turning *turning) {
    if (turning->inner_absolute)
        turning->inner_rad_s =
            pci_turning_inner_relative(turning->outer_rad_s, turning->inner_rad_s);
}

/* A mesh's path starts at the file that names it. */
static pc_status mesh_beside(pc_part *part, const char *beside, const pci_at *at) {
    char path[sizeof part->mesh_path];
    if (!part->mesh_path[0])
        return PC_OK;
    pci_at here = *at;
    here.key = "mesh";
    if (!pci_path_beside(part->mesh_path, beside, path, sizeof path))
        return pci_refuse(&here, PC_E_SIZE, "the path is too long");
    memcpy(part->mesh_path, path, sizeof path);
    return PC_OK;
}

static void name_part(pc_part *part, const char *section) {
    const char *name = section;
    if (part->kind == PC_SOLID && strchr(section, ' '))
        name = strchr(section, ' ') + 1;
    pci_copy_text(part->name, sizeof part->name, name);
}

static pc_status read_part(const pci_ini *ini, const char *name, pci_section_kind kind,
                           pc_piece *piece, pc_errors *errors) {
    pci_at at = pci_ini_at(ini, name, NULL, errors);
    if (piece->part_count == PC_PARTS_MOST)
        return pci_refuse(&at, PC_E_SIZE, "more than %d parts: split the piece", PC_PARTS_MOST);
    size_t count;
    const pci_field *fields = pci_section_fields(kind, &count);
    pc_part part;
    pci_part_defaults(kind == PCI_SECTION_HOLLOW ? PC_HOLLOW : PC_SOLID, &part);
    part.form = (pc_form)-1; /* to see whether it was stated */
    part.role = kind == PCI_SECTION_SEAM  ? PC_ROLE_SEAM
                : kind == PCI_SECTION_RIM ? PC_ROLE_RIM
                                          : PC_ROLE_PLAIN;
    part.laid = part.role == PC_ROLE_SEAM;
    name_part(&part, name);
    pc_status status = pci_fields_read(ini, name, fields, count, &part, errors);
    bool form_given = (int)part.form >= 0;
    pci_at own_resin = pci_ini_at(ini, name, "resin", errors);
    pci_at own_filler = pci_ini_at(ini, name, "filler", errors);
    status = pci_first(status, pci_read_mix(piece, &own_resin, &own_filler, 0, &part.mix));
    if (status == PC_OK)
        status = mesh_beside(&part, piece->path, &at);
    if (status == PC_OK && part.role == PC_ROLE_PLAIN) /* others are as large as their forms ask */
        status = pci_part_shape(&part, &at);
    if (part.sprues == 0 && (part.sprue_bore_m > 0.0 || part.sprue_length_m > 0.0))
        part.sprues = 1;
    if (!form_given)
        part.form = part.shape.form == PC_CYLINDER ? PC_CYLINDER : PC_SPHERE;
    piece->part[piece->part_count++] = part;
    return status;
}

/* Whether a part is called so: "body" of [hollow body]. */
static bool part_is_called(const pc_part *part, const char *name, size_t length) {
    const char *own = part->name, *space = strchr(own, ' ');
    if (part->kind == PC_HOLLOW && space)
        own = space + 1;
    return strlen(own) == length && strncmp(own, name, length) == 0;
}

/* "layer left leg 2": the part, NULL where there is none of that name, and the number, 0 where
 * there is none. */
static pc_part *coat_place(pc_piece *piece, const char *section, int *number) {
    const char *name = section + strcspn(section, " "), *last = strrchr(section, ' '), *end;
    *number = 0;
    while (*name == ' ')
        name++;
    if (!last || last < name)
        return NULL;
    double stated = pc_number_parse(last + 1, &end);
    if (*end == '\0' && stated >= 1.0 && stated <= PC_LAYERS_MOST && stated == floor(stated))
        *number = (int)stated;
    for (size_t i = 0; i < piece->part_count; i++)
        if (part_is_called(&piece->part[i], name, (size_t)(last - name)))
            return &piece->part[i];
    return NULL;
}

static void coat_defaults(int number, pc_coat *coat) {
    *coat = (pc_coat){.number = number, .method = PC_COAT_AS_PIECE, .cup_kg = PC_BRUSH_CUP_KG};
    coat->thickness_m = coat->cup_s = coat->yield_Pa = coat->no_run_m = NAN;
}

/* The first layer's thickness is the part's first_layer. */
static pc_status keep_first_layer(pc_part *part, pc_coat *coat, const pci_at *at) {
    if (coat->number != 1 || isnan(coat->thickness_m))
        return PC_OK;
    if (!isnan(part->first_layer_m))
        return pci_refuse(at, PC_E_KEY,
                          "the part's first_layer says so already: leave out one of the two");
    part->first_layer_m = coat->thickness_m;
    coat->thickness_m = NAN;
    return PC_OK;
}

static pc_status read_coat(const pci_ini *ini, const char *section, pc_piece *piece,
                           pc_errors *errors) {
    pci_at at = pci_ini_at(ini, section, NULL, errors);
    pci_at thickness = pci_ini_at(ini, section, "thickness", errors);
    pci_at resin = pci_ini_at(ini, section, "resin", errors);
    pci_at filler = pci_ini_at(ini, section, "filler", errors);
    int number;
    pc_part *part = coat_place(piece, section, &number);
    if (number == 0)
        return pci_refuse(&at, PC_E_KEY,
                          "a layer is named by its part and its number, 1 to %d: [layer body 1]",
                          PC_LAYERS_MOST);
    if (!part)
        return pci_refuse(&at, PC_E_KEY,
                          "there is no part of this name: [layer body 1] belongs to [hollow body]");
    if (pci_coat_of(part, number) || part->coat_count == PC_COATS_MOST)
        return pci_refuse(&at, PC_E_SIZE,
                          "this layer is stated twice, or more than %d of the part are: leave some "
                          "out",
                          PC_COATS_MOST);
    pc_coat *coat = &part->coat[part->coat_count];
    coat_defaults(number, coat);
    size_t count;
    const pci_field *fields = pci_section_fields(PCI_SECTION_LAYER, &count);
    PCI_TRY(pci_fields_read(ini, section, fields, count, coat, errors));
    part->coat_count++;
    PCI_TRY(keep_first_layer(part, coat, &thickness));
    return pci_read_mix(piece, &resin, &filler, part->mix, &coat->mix);
}

/* A key that something else in its section leaves without effect is not passed over in silence. */
static pc_status refuse_key(const pci_ini *ini, const char *section, const char *key,
                            const char *text, pc_errors *errors) {
    pci_at at = pci_ini_at(ini, section, key, errors);
    return at.value ? pci_refuse(&at, PC_E_KEY, "%s", text) : PC_OK;
}

static pc_status judge_company(const pci_ini *ini, const char *section, pc_method method,
                               pc_errors *errors) {
    if (method != PC_HAND)
        PCI_TRY(refuse_key(
            ini, section, "tilts",
            method == PC_MACHINE
                ? "tilts are for hands, and the method is machine: add method = hand, or drop them"
                : "tilts are for layers turned by hand, and drained ones are swirled: add method = "
                  "hand, or drop them",
            errors));
    if (method != PC_DRAIN)
        PCI_TRY(refuse_key(ini, section, "drop_length",
                           "drop_length is for draining: add method = drain, or drop it", errors));
    return PC_OK;
}

/* Judged here, used by pc_order_read; a pin that names its part is a step of the schedule too. */
static pc_status read_order(const pci_ini *ini, const char *section, pc_piece *piece,
                            pc_errors *errors) {
    pc_order order;
    pci_order_defaults(&order);
    PCI_TRY(pci_order_section(ini, section, &order, errors));
    if (order.pin_count == 0 || !order.pin[0].part[0])
        return PC_OK;
    pci_at at = pci_ini_at(ini, section, NULL, errors);
    if (piece->pin_count == PC_PINS_MOST)
        return pci_refuse(&at, PC_E_SIZE, "more than %d pins", PC_PINS_MOST);
    pc_pin *pin = &piece->pin[piece->pin_count++];
    const char *name = strchr(section, ' ');
    *pin = (pc_pin){.count = order.pin[0].count};
    pci_copy_text(pin->name, sizeof pin->name, name ? name + 1 : section);
    pci_copy_text(pin->part, sizeof pin->part, order.pin[0].part);
    return PC_OK;
}

pc_status pci_piece_section(const pci_ini *ini, const char *section, pc_piece *piece,
                            pc_errors *errors) {
    int kind = pci_section_kind_of(section);
    if (pci_order_section_is(section))
        return read_order(ini, section, piece, errors);
    if (kind < 0)
        return pci_ini_unknown_section(ini, section, pci_section_names(), errors);
    if (pci_section_is_part(kind))
        return read_part(ini, section, (pci_section_kind)kind, piece, errors);
    if (kind == PCI_SECTION_LAYER)
        return read_coat(ini, section, piece, errors);
    size_t count;
    const pci_field *fields = pci_section_fields((pci_section_kind)kind, &count);
    pc_status status = pci_fields_read(ini, section, fields, count, piece, errors);
    if (kind == PCI_SECTION_TURNING) {
        inner_relative(&piece->turning);
        status = pci_first(status, judge_company(ini, section, piece->turning.method, errors));
    }
    if (kind == PCI_SECTION_SHOP && pci_ini_value(ini, section, "temperature"))
        status = pci_first(
            status, refuse_key(ini, section, "temperatures",
                               "both temperature and temperatures: keep one of the two", errors));
    return status;
}

static pc_status from_ini(const pci_ini *ini, pc_piece *piece, pc_errors *errors) {
    size_t from = errors ? errors->count : 0;
    pc_status status = PC_OK;
    pci_copy_text(piece->path, sizeof piece->path, ini->file);
    for (int layers = 0; layers < 2; layers++) /* after the parts they belong to */
        for (size_t s = 0; s < ini->sections; s++)
            if ((pci_section_kind_of(pci_ini_section(ini, s)) == PCI_SECTION_LAYER) == layers)
                status = pci_first(status,
                                   pci_piece_section(ini, pci_ini_section(ini, s), piece, errors));
    if (status == PC_OK)
        status = pci_edges_settle(piece, ini, errors);
    pci_shop_settle(&piece->shop);
    pci_at catalyst = pci_ini_at(ini, "shop", "catalyst", errors);
    if (status == PC_OK)
        status = pci_catalyst_settle(piece, &catalyst);
    pci_at filler = pci_ini_at(ini, "piece", "filler", errors);
    if (status == PC_OK)
        status = pci_filler_settle(piece, &filler);
    if (status == PC_OK)
        status = pci_mixes_settle(piece, ini, errors);
    if (status == PC_OK)
        status = pci_piece_check(piece, ini, errors);
    pci_errors_by_line(errors, from);
    return status;
}

pc_status pci_piece_parse(const char *file, const char *data, size_t size, pc_piece *piece,
                          pc_errors *errors) {
    pci_ini *ini;
    pci_piece_defaults(piece);
    pc_status status = pci_ini_parse(file, data, size, &ini, errors);
    if (status == PC_OK)
        status = from_ini(ini, piece, errors);
    pci_ini_free(ini);
    return status;
}

pc_status pc_piece_read_in_shop(const char *shop, const char *path, pc_piece *piece,
                                pc_errors *errors) {
    pci_ini *shop_ini = NULL, *ini = NULL;
    pc_status status = PC_OK;
    if (!piece)
        return PC_E_ARGUMENT;
    pci_piece_defaults(piece);
    if (shop)
        status = pci_shop_file_read(shop, piece, &shop_ini, errors);
    if (status == PC_OK && path)
        status = pci_ini_read(path, &ini, errors);
    if (status == PC_OK && path)
        status = from_ini(ini, piece, errors);
    pci_shop_file_note(shop_ini, ini, piece);
    pci_ini_free(shop_ini);
    pci_ini_free(ini);
    return status;
}

static bool states_area(const char *key) {
    static const char *const keys[] = {"area", "shape", "mesh", "foil_mass", "volume", NULL};
    for (size_t i = 0; keys[i]; i++)
        if (pci_same_word(key, keys[i]))
            return true;
    return false;
}

/* Puts every statement of the area out of force. */
static void forget_area(pc_part *part) {
    part->area_m2 = part->foil_kg = part->foil_m = part->foil_density_kg_m3 = NAN;
    part->water_fill_m3 = NAN;
    part->shape_text[0] = part->mesh_path[0] = part->mesh_unit[0] = '\0';
    if (part->kind == PC_SOLID)
        part->volume_m3 = NAN;
    pc_shape_free(&part->shape);
    memset(&part->shape, 0, sizeof part->shape);
}

/* Whether enough is stated to make the shape: single keys come one by one. */
static bool shape_is_due(const pc_part *part) {
    if (part->mesh_path[0])
        return part->mesh_unit[0] != '\0' || pci_names_unit(part->mesh_path);
    if (!isnan(part->foil_kg))
        return !isnan(part->foil_m) && !isnan(part->foil_density_kg_m3);
    return !isnan(part->area_m2) || part->shape_text[0] || !isnan(part->volume_m3);
}

static pc_status set_part(pc_piece *piece, pci_section_kind kind, const pci_field *field,
                          const pci_at *at) {
    pc_part_kind wanted = kind == PCI_SECTION_HOLLOW ? PC_HOLLOW : PC_SOLID;
    size_t i = 0;
    while (i < piece->part_count &&
           (piece->part[i].kind != wanted || piece->part[i].role != PC_ROLE_PLAIN))
        i++;
    if (i == PC_PARTS_MOST)
        return pci_refuse(at, PC_E_SIZE, "more than %d parts", PC_PARTS_MOST);
    pc_part part;
    if (i < piece->part_count) {
        part = piece->part[i];
    } else {
        pci_part_defaults(wanted, &part);
        name_part(&part, at->section);
    }
    pc_part trial = part; /* the value is judged before anything is given up */
    pc_status status = pci_field_set(field, at, &trial);
    if (status != PC_OK)
        return status;
    if (states_area(field->key)) {
        forget_area(&part);
        pci_field_set(field, at, &part);
    } else {
        part = trial;
    }
    if (i == piece->part_count)
        piece->part_count++;
    bool shapes = states_area(field->key) || strncmp(field->key, "foil", 4) == 0 ||
                  strcmp(field->key, "water_fill") == 0 || strcmp(field->key, "mesh_unit") == 0 ||
                  (strcmp(field->key, "wall") == 0 && part.mesh_path[0]);
    if (shapes && shape_is_due(&part)) {
        status = pci_part_shape(&part, at);
    }
    piece->part[i] = part;
    return status == PC_OK ? pci_edges_settle(piece, NULL, at->errors) : status;
}

pc_status pc_piece_set(pc_piece *piece, const char *section, const char *key, const char *value,
                       pc_errors *errors) {
    if (!piece || !section || !key || !value)
        return PC_E_ARGUMENT;
    pci_at at = {"command line", 0, section, key, value, errors};
    int kind = pci_section_kind_of(section);
    bool named = kind == PCI_SECTION_LAYER || kind == PCI_SECTION_SEAM || kind == PCI_SECTION_RIM;
    if (kind < 0 || named) /* there is no telling which of several */
        return pci_refuse(&at, PC_E_KEY, "no such section");
    size_t count;
    const pci_field *fields = pci_section_fields((pci_section_kind)kind, &count);
    const pci_field *field = pci_field_named(fields, count, key);
    if (!field)
        return pci_refuse(&at, PC_E_KEY, "no such key");
    pci_shop_file_override((pci_section_kind)kind, key, piece);
    if (kind == PCI_SECTION_HOLLOW || kind == PCI_SECTION_SOLID)
        return set_part(piece, (pci_section_kind)kind, field, &at);
    inner_as_stated(&piece->turning);
    pc_status status = pci_field_set(field, &at, piece);
    inner_relative(&piece->turning);
    pci_shop_settle(&piece->shop);
    bool level = status == PC_OK && kind == PCI_SECTION_SHOP && strcmp(key, "catalyst") == 0;
    bool resin = status == PC_OK && kind == PCI_SECTION_PIECE && strcmp(key, "resin") == 0;
    bool filler = status == PC_OK && kind == PCI_SECTION_PIECE && strcmp(key, "filler") == 0;
    if (resin || filler)
        status = pci_filler_settle(piece, &at);
    if (resin)
        at.value = NULL; /* what is stated is not the level */
    if (status == PC_OK && (level || resin))
        status = pci_catalyst_settle(piece, &at);
    if (status == PC_OK && (level || resin || filler))
        status = pci_mixes_settle(piece, NULL, errors);
    return status;
}

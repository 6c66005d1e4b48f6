/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/picture.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>

#include "print/message.h"
#include "print/output.h"

#define PNG_DPI 150.0

cairo_status_t picture_write(void *output, const unsigned char *data, unsigned int length) {
    struct cli_output *out = output;
    out_bytes(out, data, length);
    return out->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

bool picture_is_named(const char *path) {
    return out_is_named(path, ".svg") || out_is_named(path, ".pdf") || out_is_named(path, ".png");
}

static cairo_surface_t *make_surface(const char *path, double w, double h, struct cli_output *out) {
    if (out_is_named(path, ".svg"))
        return cairo_svg_surface_create_for_stream(picture_write, out, w, h);
    if (out_is_named(path, ".png"))
        return cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(w * PNG_DPI / 72.0),
                                          (int)ceil(h * PNG_DPI / 72.0));
    cairo_surface_t *pdf = cairo_pdf_surface_create_for_stream(picture_write, out, w, h);
    cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_CREATE_DATE, PICTURE_DATE);
    return pdf;
}

enum cli_exit picture_file(const char *option, const char *path, double width_pt, double height_pt,
                           picture_draw draw, const void *context) {
    if (!picture_is_named(path))
        return say_error(CLI_USAGE, "%s %s: the name must end in .svg, .pdf or .png", option, path);
    struct cli_output out = {0};
    bool png = out_is_named(path, ".png");
    cairo_surface_t *surface = make_surface(path, width_pt, height_pt, &out);
    cairo_t *cr = cairo_create(surface);
    if (png)
        cairo_scale(cr, PNG_DPI / 72.0, PNG_DPI / 72.0);
    cairo_set_source_rgb(cr, 1.0, 1.0, 1.0);
    cairo_paint(cr);
    bool drawn = draw(cr, context);
    cairo_status_t status = cairo_status(cr);
    cairo_destroy(cr);
    if (png && status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_write_to_png_stream(surface, picture_write, &out);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    enum cli_exit code = CLI_DONE;
    if (!drawn || out.failed || status == CAIRO_STATUS_NO_MEMORY)
        code = say_error(CLI_INTERNAL, "out of memory");
    else if (status != CAIRO_STATUS_SUCCESS)
        code = say_error(CLI_INTERNAL, "%s %s: the picture cannot be drawn: %s", option, path,
                         cairo_status_to_string(status));
    else if (!out_to_file(path, out.data, out.size))
        code = CLI_FILE;
    out_free(&out);
    return code;
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
/* SHA-256 of the page's own style and script, for its content security policy: nothing else runs.
 * tests/cli/page_hashes.sh checks them, and writes them anew with --update. */
#ifndef PC_CLI_DRAW_PAGE_HASHES_H
#define PC_CLI_DRAW_PAGE_HASHES_H

#define PAGE_STYLE_HASH  "sha256-JXAOnml1C8j/TrFsp0gTbqEVBXl9JUKD49QDJZ9EqTU="
#define PAGE_SCRIPT_HASH "sha256-fVnUuc+1gQqNHpmItGtpf5/8bSufIaDSNsL33CkvqXc="

#endif

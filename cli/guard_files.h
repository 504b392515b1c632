/* guard_files: nothing that a command reads may be what it writes, whatever its name and whatever --force says. */
#ifndef CLI_GUARD_FILES_H
#define CLI_GUARD_FILES_H

#include "consult/consult.h"
#include "option.h"

/** WM_E_OUTPUT when an output is an input, the salon's catalogue, any book, what lies beside a book, or another output,
 * by device and inode. */
wm_status guard_files(const args *a, wm_error *err);
/** The same for the references that colour targets among the zones name. */
wm_status guard_references(const args *a, const wm_zones *zones, wm_error *err);

#endif

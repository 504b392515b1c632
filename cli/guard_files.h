/* guard_files: nothing that a command reads may be what it writes, whatever its name and whatever --force says. */
#ifndef CLI_GUARD_FILES_H
#define CLI_GUARD_FILES_H

#include "option.h"

/** WM_E_OUTPUT when an output is an input, the book, one of its log files, or another output, by device and inode. */
wm_status guard_files(const args *a, wm_error *err);

#endif

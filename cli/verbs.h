/* verbs: one verb_<name>.c each; every function takes the parsed arguments and returns the exit status. */
#ifndef CLI_VERBS_H
#define CLI_VERBS_H

#include "option.h"

int verb_desk(const args *a);
int verb_mark(const args *a);
int verb_measure(const args *a);
int verb_match(const args *a);
int verb_blend(const args *a);
int verb_swatch_list(const args *a);
int verb_swatch_check(const args *a);
int verb_swatch_add(const args *a);
int verb_swatch_convert(const args *a);
int verb_client_add(const args *a);
int verb_client_list(const args *a);
int verb_client_show(const args *a);
int verb_client_history(const args *a);
int verb_client_export(const args *a);
int verb_client_import(const args *a);
int verb_client_rename(const args *a);
int verb_client_note(const args *a);
int verb_client_merge(const args *a);
int verb_client_coming(const args *a);
int verb_client_forget(const args *a);
int verb_orders(const args *a);
int verb_stock_list(const args *a);
int verb_stock_add(const args *a);
int verb_stock_count(const args *a);
int verb_stock_cut(const args *a);
int verb_stock_remove(const args *a);
int verb_plan(const args *a);
int verb_visit_add(const args *a);
int verb_visit_set(const args *a);
int verb_visit_move(const args *a);
int verb_visit_remove(const args *a);
int verb_visit_restore(const args *a);
int verb_book_check(const args *a);
int verb_book_backup(const args *a);
int verb_book_import(const args *a);
int verb_book_log(const args *a);
int verb_book_undo(const args *a);
int verb_book_redo(const args *a);
int verb_compare(const args *a);
int verb_recheck(const args *a);
int verb_report(const args *a);
int verb_salon_show(const args *a);
int verb_salon_set(const args *a);
int verb_salon_learn(const args *a);
int verb_complete(const args *a);

#endif

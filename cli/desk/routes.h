/* routes: one table of what the desk answers: method, path, function, limit of the body. */
#ifndef CLI_DESK_ROUTES_H
#define CLI_DESK_ROUTES_H

#include "desk/desk.h"

/** The handler's two questions (http.h); user is the desk. */
bool routes_admit(void *desk, const http_request *request, http_answer *answer, size_t *most);
void routes_answer(void *desk, const http_request *request, http_answer *answer);

#endif

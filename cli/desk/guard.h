/* guard: who may ask. The address that is printed holds a token; the first page exchanges it for a cookie that scripts
 * can't read and other sites' requests don't carry. A browser is opened with a ticket in the token's place, good once
 * and for minutes, because everybody on the machine can list what programs were started with. Every request must name
 * one of this machine's own hosts (a foreign name that resolves to this machine is refused), and one that changes
 * anything must come from our own page. */
#ifndef CLI_DESK_GUARD_H
#define CLI_DESK_GUARD_H

#include <stdatomic.h>

#include "desk/http.h"

enum {
    GUARD_SECRET = 65, /* 256 bits as hex digits, and a NUL */
    GUARD_TICKET = 96
};

typedef struct guard {
    char token[GUARD_SECRET], session[GUARD_SECRET];
    atomic_llong last_ticket; /* when the newest ticket that let somebody in was made */
    atomic_int port;          /* known once the server listens, when others may ask already: they are refused */
} guard;

/** Fresh secrets from the system. WM_E_BUG when it gives none. */
wm_status guard_start(guard *out, wm_error *err);

/** NULL: the request may pass. Else why not, in one line. */
const char *guard_refuses(const guard *g, const http_request *request);

/** A ticket of whoever knows the token: of the desk, or of a second start on its book. */
void guard_ticket(char out[GUARD_TICKET], const char *token);
/** True when the request brings the token or a fresh ticket, which is used up by it. */
bool guard_lets_in(guard *g, const http_request *request);
void guard_cookie(const guard *g, char *out, size_t size); /**< value of Set-Cookie */

#endif

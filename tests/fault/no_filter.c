/* no_filter PROGRAM ARGUMENT..: runs the program under a kernel that refuses seccomp filters, or what can't be told
 * from one: a filter that answers every attempt to set another as a kernel without them would. */
#include <errno.h>
#include <linux/seccomp.h>
#include <seccomp.h>
#include <stdio.h>
#include <sys/prctl.h>
#include <unistd.h>

int main(int argc, char **argv)
{
    scmp_filter_ctx filter = seccomp_init(SCMP_ACT_ALLOW);
    if (argc < 2 || !filter || seccomp_rule_add(filter, SCMP_ACT_ERRNO(ENOSYS), SCMP_SYS(seccomp), 0) ||
        seccomp_rule_add(filter, SCMP_ACT_ERRNO(EINVAL), SCMP_SYS(prctl), 1, SCMP_A0(SCMP_CMP_EQ, PR_SET_SECCOMP, 0)) ||
        seccomp_load(filter)) {
        fputs("no_filter: this system can't play one that refuses filters\n", stderr);
        return 99;
    }
    execv(argv[1], argv + 1);
    return 99;
}

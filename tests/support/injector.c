/* Lets one call that changes a file under a folder end the program or fail. Loaded before the
 * program by LD_PRELOAD; read from the environment:
 *   INJECT_UNDER  the folder
 *   INJECT_AT     which call, from 1; 0 only counts
 *   INJECT_HOW    kill (before the call), torn (after half of a write), broken (EIO); and from
 *                 that call on: full (ENOSPC), forbidden (EACCES), read-only (EROFS)
 *   INJECT_TRACE  a file that gets the name of every call counted, one a line
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

static atomic_long seen;

static int is_under(const char *path) {
    const char *under = getenv("INJECT_UNDER");
    char whole[PATH_MAX];
    if (!under || !path) return 0;
    if (path[0] != '/') {
        char here[PATH_MAX];
        if (!getcwd(here, sizeof here)) return 0;
        if (snprintf(whole, sizeof whole, "%s/%s", here, path) >= (int)sizeof whole) return 0;
        path = whole;
    }
    size_t length = strlen(under);
    return strncmp(path, under, length) == 0 && (path[length] == '/' || path[length] == 0);
}

static int fd_is_under(int fd) {
    char link[64], path[PATH_MAX];
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length <= 0) return 0;
    path[length] = 0;
    return is_under(path);
}

static int at_is_under(int folder, const char *path) {
    if (path && (path[0] == '/' || folder == AT_FDCWD)) return is_under(path);
    return fd_is_under(folder);
}

static void die(void) {
    syscall(SYS_kill, getpid(), SIGKILL);
    for (;;) pause();
}

/* 0: go on; 1: half of a write, then the end; -1: fail with errno. */
static int strikes(const char *name) {
    const char *at = getenv("INJECT_AT"), *how = getenv("INJECT_HOW"), *trace = getenv("INJECT_TRACE");
    long number = atomic_fetch_add(&seen, 1) + 1;
    if (trace) {
        char line[64];
        int length = snprintf(line, sizeof line, "%s\n", name);
        int fd = syscall(SYS_openat, AT_FDCWD, trace, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0644);
        if (fd >= 0) {
            syscall(SYS_write, fd, line, (size_t)length);
            syscall(SYS_close, fd);
        }
    }
    if (!at || !how || !atol(at) || number < atol(at)) return 0;
    if (!strcmp(how, "full")) {
        /* A full disk still lets go of what it holds. */
        if (strcmp(name, "write") && strcmp(name, "open") && strcmp(name, "mkdir")) return 0;
        errno = ENOSPC;
        return -1;
    }
    if (!strcmp(how, "forbidden") || !strcmp(how, "read-only")) {
        errno = !strcmp(how, "forbidden") ? EACCES : EROFS;
        return -1;
    }
    if (number > atol(at)) return 0;
    if (!strcmp(how, "broken")) {
        errno = EIO;
        return -1;
    }
    if (!strcmp(how, "torn") && !strcmp(name, "write")) return 1;
    die();
    return 0;
}

#define REAL(type, name, ...) \
    static type (*real)(__VA_ARGS__); \
    if (!real) *(void **)&real = dlsym(RTLD_NEXT, #name)

ssize_t write(int fd, const void *bytes, size_t length) {
    REAL(ssize_t, write, int, const void *, size_t);
    if (fd > 2 && fd_is_under(fd)) {
        int struck = strikes("write");
        if (struck < 0) return -1;
        if (struck > 0) {
            real(fd, bytes, length / 2);
            die();
        }
    }
    return real(fd, bytes, length);
}

#define ON_FD(name, parameters, arguments) \
    int name parameters { \
        REAL(int, name, int, ...); \
        if (fd_is_under(fd) && strikes(#name) < 0) return -1; \
        return real arguments; \
    }
ON_FD(fsync, (int fd), (fd))
ON_FD(fdatasync, (int fd), (fd))
ON_FD(fchmod, (int fd, mode_t mode), (fd, mode))
ON_FD(ftruncate64, (int fd, off64_t length), (fd, length))
ON_FD(ftruncate, (int fd, off_t length), (fd, length))

#define ON_PATH(name, parameters, arguments, path) \
    int name parameters { \
        REAL(int, name, const char *, ...); \
        if (is_under(path) && strikes(#name) < 0) return -1; \
        return real arguments; \
    }
ON_PATH(rename, (const char *old, const char *new), (old, new), new)
ON_PATH(link, (const char *old, const char *new), (old, new), new)
ON_PATH(unlink, (const char *path), (path), path)
ON_PATH(mkdir, (const char *path, mode_t mode), (path, mode), path)
ON_PATH(rmdir, (const char *path), (path), path)

#define ON_AT(name, parameters, arguments, folder, path) \
    int name parameters { \
        REAL(int, name, int, ...); \
        if (at_is_under(folder, path) && strikes(#name) < 0) return -1; \
        return real arguments; \
    }
ON_AT(renameat, (int from, const char *old, int to, const char *new), (from, old, to, new), to, new)
ON_AT(renameat2, (int from, const char *old, int to, const char *new, unsigned flags),
      (from, old, to, new, flags), to, new)
ON_AT(linkat, (int from, const char *old, int to, const char *new, int flags),
      (from, old, to, new, flags), to, new)
ON_AT(unlinkat, (int folder, const char *path, int flags), (folder, path, flags), folder, path)
ON_AT(mkdirat, (int folder, const char *path, mode_t mode), (folder, path, mode), folder, path)

/* Opening changes a file only where it makes or empties one. */
#define OPENS(name) \
    int name(const char *path, int flags, ...) { \
        REAL(int, name, const char *, int, ...); \
        va_list more; \
        va_start(more, flags); \
        mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0; \
        va_end(more); \
        if (flags & (O_CREAT | O_TRUNC) && is_under(path) && strikes("open") < 0) return -1; \
        return real(path, flags, mode); \
    }
OPENS(open)
OPENS(open64)

#define OPENS_AT(name) \
    int name(int folder, const char *path, int flags, ...) { \
        REAL(int, name, int, const char *, int, ...); \
        va_list more; \
        va_start(more, flags); \
        mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, mode_t) : 0; \
        va_end(more); \
        if (flags & (O_CREAT | O_TRUNC) && at_is_under(folder, path) && strikes("open") < 0) return -1; \
        return real(folder, path, flags, mode); \
    }
OPENS_AT(openat)
OPENS_AT(openat64)

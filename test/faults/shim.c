// Loaded before libc (LD_PRELOAD): counts the calls below FAULT_ROOT that change something on
// disk, and makes the one numbered FAULT_AT fail, be short, or be the last thing the process does.
//
// FAULT_ROOT   folder; calls on paths elsewhere pass uncounted
// FAULT_AT     number of the call, from 1; 0 counts only
// FAULT_MODE   once | on (that call and all later ones) | short (writes half) | kill
// FAULT_ERRNO  number of the error for once and on
// FAULT_COUNT  file that gets the number of calls when the process ends
//
// SQLite and Node call these functions by name, so both are met.

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
#include <sys/uio.h>
#include <unistd.h>

static atomic_long calls;

#define REAL(name) ((__typeof__(name) *)real(#name))
static void *real(const char *name) { return dlsym(RTLD_NEXT, name); }

static const char *root(void) {
  static const char *value;
  if (!value) value = getenv("FAULT_ROOT") ? getenv("FAULT_ROOT") : "";
  return value;
}

static int is_below(const char *path) {
  size_t length = strlen(root());
  return length > 0 && strncmp(path, root(), length) == 0;
}

/* Paths are absolute in this program; a relative one is judged from the working folder. */
static int counts_path(const char *path) {
  if (path[0] == '/') return is_below(path);
  char whole[PATH_MAX];
  if (!getcwd(whole, sizeof whole)) return 0;
  return is_below(whole);
}

static int counts_descriptor(int descriptor) {
  char link[64], path[PATH_MAX];
  snprintf(link, sizeof link, "/proc/self/fd/%d", descriptor);
  ssize_t length = readlink(link, path, sizeof path - 1);
  if (length < 0) return 0;
  path[length] = 0;
  return is_below(path);
}

static int is_mode(const char *mode) {
  const char *set = getenv("FAULT_MODE");
  return set && strcmp(set, mode) == 0;
}

/* Whether this call fails. Does not return where it is to be the last. */
static int fails(void) {
  long call = atomic_fetch_add(&calls, 1) + 1;
  long at = getenv("FAULT_AT") ? atol(getenv("FAULT_AT")) : 0;
  if (at == 0 || call < at) return 0;
  if (call == at && is_mode("kill")) {
    kill(getpid(), SIGKILL);
    pause();
  }
  if (!is_mode("on") && !(is_mode("once") && call == at)) return 0;
  errno = getenv("FAULT_ERRNO") ? atoi(getenv("FAULT_ERRNO")) : EIO;
  return 1;
}

static size_t shortened(size_t count) {
  long at = getenv("FAULT_AT") ? atol(getenv("FAULT_AT")) : 0;
  return is_mode("short") && atomic_load(&calls) >= at && count > 1 ? count / 2 : count;
}

__attribute__((destructor)) static void say_count(void) {
  const char *path = getenv("FAULT_COUNT");
  if (!path) return;
  int descriptor = REAL(open)(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
  if (descriptor < 0) return;
  char text[32];
  int length = snprintf(text, sizeof text, "%ld", atomic_load(&calls));
  if (REAL(write)(descriptor, text, length)) {}
  close(descriptor);
}

static int changes(int flags) { return (flags & (O_CREAT | O_TRUNC)) != 0; }

#define OPEN(name)                                                        \
  int name(const char *path, int flags, ...) {                            \
    va_list rest;                                                         \
    va_start(rest, flags);                                                \
    mode_t mode = va_arg(rest, mode_t);                                   \
    va_end(rest);                                                         \
    if (changes(flags) && counts_path(path) && fails()) return -1;        \
    return REAL(name)(path, flags, mode);                                 \
  }
OPEN(open)
OPEN(open64)

#define OPENAT(name)                                                      \
  int name(int folder, const char *path, int flags, ...) {                \
    va_list rest;                                                         \
    va_start(rest, flags);                                                \
    mode_t mode = va_arg(rest, mode_t);                                   \
    va_end(rest);                                                         \
    if (changes(flags) && counts_path(path) && fails()) return -1;        \
    return REAL(name)(folder, path, flags, mode);                         \
  }
OPENAT(openat)
OPENAT(openat64)

ssize_t write(int d, const void *bytes, size_t count) {
  if (!counts_descriptor(d)) return REAL(write)(d, bytes, count);
  if (fails()) return -1;
  return REAL(write)(d, bytes, shortened(count));
}
ssize_t pwrite(int d, const void *bytes, size_t count, off_t at) {
  if (!counts_descriptor(d)) return REAL(pwrite)(d, bytes, count, at);
  if (fails()) return -1;
  return REAL(pwrite)(d, bytes, shortened(count), at);
}
ssize_t pwrite64(int d, const void *bytes, size_t count, off64_t at) {
  if (!counts_descriptor(d)) return REAL(pwrite64)(d, bytes, count, at);
  if (fails()) return -1;
  return REAL(pwrite64)(d, bytes, shortened(count), at);
}

/* Node writes one buffer at a time; of a vector only the first part is written when it is short. */
ssize_t writev(int d, const struct iovec *parts, int count) {
  if (!counts_descriptor(d)) return REAL(writev)(d, parts, count);
  if (fails()) return -1;
  return REAL(write)(d, parts[0].iov_base, shortened(parts[0].iov_len));
}
ssize_t pwritev(int d, const struct iovec *parts, int count, off_t at) {
  if (!counts_descriptor(d)) return REAL(pwritev)(d, parts, count, at);
  if (fails()) return -1;
  return REAL(pwrite)(d, parts[0].iov_base, shortened(parts[0].iov_len), at);
}
ssize_t pwritev64(int d, const struct iovec *parts, int count, off64_t at) {
  if (!counts_descriptor(d)) return REAL(pwritev64)(d, parts, count, at);
  if (fails()) return -1;
  return REAL(pwrite64)(d, parts[0].iov_base, shortened(parts[0].iov_len), at);
}

#define BY_DESCRIPTOR(name)                                               \
  int name(int d) {                                                       \
    if (counts_descriptor(d) && fails()) return -1;                       \
    return REAL(name)(d);                                                 \
  }
BY_DESCRIPTOR(fsync)
BY_DESCRIPTOR(fdatasync)

int ftruncate(int d, off_t length) {
  if (counts_descriptor(d) && fails()) return -1;
  return REAL(ftruncate)(d, length);
}
int ftruncate64(int d, off64_t length) {
  if (counts_descriptor(d) && fails()) return -1;
  return REAL(ftruncate64)(d, length);
}
int fallocate(int d, int mode, off_t at, off_t length) {
  if (counts_descriptor(d) && fails()) return -1;
  return REAL(fallocate)(d, mode, at, length);
}
int posix_fallocate(int d, off_t at, off_t length) {
  if (counts_descriptor(d) && fails()) return errno;
  return REAL(posix_fallocate)(d, at, length);
}

#define BY_PATH(name)                                                     \
  int name(const char *path) {                                            \
    if (counts_path(path) && fails()) return -1;                          \
    return REAL(name)(path);                                              \
  }
BY_PATH(unlink)
BY_PATH(rmdir)

int unlinkat(int folder, const char *path, int flags) {
  if (counts_path(path) && fails()) return -1;
  return REAL(unlinkat)(folder, path, flags);
}
int mkdir(const char *path, mode_t mode) {
  if (counts_path(path) && fails()) return -1;
  return REAL(mkdir)(path, mode);
}
int rename(const char *from, const char *to) {
  if (counts_path(to) && fails()) return -1;
  return REAL(rename)(from, to);
}
int link(const char *from, const char *to) {
  if (counts_path(to) && fails()) return -1;
  return REAL(link)(from, to);
}

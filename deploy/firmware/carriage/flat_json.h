// Reads one JSON object's own members: texts, counts and truths. What lies deeper is checked and passed over.
//
// No memory is taken, nothing is copied but the value asked for, and any bytes may be given to it. A board that hears
// nonsense on the bus must drop it and go on; that is all this is for.
#pragma once

#include <stddef.h>
#include <stdint.h>
#include <string.h>

class FlatJson {
 public:
  FlatJson(const char *text, size_t length) : begin_(text), end_(text + length) {
    const char *p = space(begin_);
    if (p == end_ || *p != '{') return;
    p = value(p, 0);
    whole_ = p != nullptr && space(p) == end_;
  }

  // The bytes were one JSON object from end to end.
  bool whole() const { return whole_; }

  // A string of at most size - 1 bytes, with its escapes resolved. False where it is missing, longer or no string.
  bool text(const char *key, char *out, size_t size) const {
    const char *p = member(key);
    return p != nullptr && *p == '"' && string(p, out, size, nullptr);
  }

  // A whole number from 0 to 2^53 - 1, which is what every language carries exactly.
  bool count(const char *key, uint64_t *out) const {
    const char *p = member(key);
    if (p == nullptr || !digit(p)) return false;
    uint64_t n = 0;
    for (; digit(p); ++p) {
      n = n * 10 + static_cast<uint64_t>(*p - '0');
      if (n > 9007199254740991ULL) return false;
    }
    if (p != end_ && (*p == '.' || *p == 'e' || *p == 'E')) return false;
    *out = n;
    return true;
  }

  bool truth(const char *key, bool *out) const {
    const char *p = member(key);
    if (p == nullptr || (*p != 't' && *p != 'f')) return false;
    *out = *p == 't';
    return true;
  }

 private:
  static const int kDeepest = 8;
  const char *begin_;
  const char *end_;
  bool whole_ = false;

  bool digit(const char *p) const { return p != end_ && *p >= '0' && *p <= '9'; }

  const char *space(const char *p) const {
    while (p != end_ && (*p == ' ' || *p == '\t' || *p == '\n' || *p == '\r')) ++p;
    return p;
  }

  // Where the value of a member begins; of two with the same name the last counts, as elsewhere.
  const char *member(const char *key) const {
    if (!whole_) return nullptr;
    const char *found = nullptr;
    const char *p = space(space(begin_) + 1);
    while (*p != '}') {
      char name[32];
      const bool fits = string(p, name, sizeof name, &p);
      p = space(space(p) + 1);
      if (fits && strcmp(name, key) == 0) found = p;
      p = space(value(p, 1));
      if (*p == ',') p = space(p + 1);
    }
    return found;
  }

  // Past the value, or null where it is not well formed. Every step looks at end_ before it looks at a byte.
  const char *value(const char *p, int depth) const {
    if (p == nullptr || p == end_ || depth > kDeepest) return nullptr;
    if (*p == '{') return members(p, '}', depth);
    if (*p == '[') return members(p, ']', depth);
    if (*p == '"') {
      const char *after = nullptr;
      string(p, nullptr, 0, &after);
      return after;
    }
    if (*p == 't') return word(p, "true");
    if (*p == 'f') return word(p, "false");
    if (*p == 'n') return word(p, "null");
    return number(p);
  }

  const char *members(const char *p, char close, int depth) const {
    p = space(p + 1);
    if (p != end_ && *p == close) return p + 1;
    for (;;) {
      if (close == '}') {
        if (p == end_ || *p != '"') return nullptr;
        const char *after = nullptr;
        string(p, nullptr, 0, &after);
        if (after == nullptr) return nullptr;
        p = space(after);
        if (p == end_ || *p != ':') return nullptr;
        p = space(p + 1);
      }
      p = value(p, depth + 1);
      if (p == nullptr) return nullptr;
      p = space(p);
      if (p == end_) return nullptr;
      if (*p == close) return p + 1;
      if (*p != ',') return nullptr;
      p = space(p + 1);
    }
  }

  const char *word(const char *p, const char *w) const {
    const size_t n = strlen(w);
    return static_cast<size_t>(end_ - p) >= n && memcmp(p, w, n) == 0 ? p + n : nullptr;
  }

  const char *digits(const char *p) const {
    if (!digit(p)) return nullptr;
    while (digit(p)) ++p;
    return p;
  }

  const char *number(const char *p) const {
    if (*p == '-') ++p;
    if (p == end_) return nullptr;
    p = *p == '0' ? p + 1 : digits(p);
    if (p != nullptr && p != end_ && *p == '.') p = digits(p + 1);
    if (p != nullptr && p != end_ && (*p == 'e' || *p == 'E')) {
      ++p;
      if (p != end_ && (*p == '+' || *p == '-')) ++p;
      p = digits(p);
    }
    return p;
  }

  static int hex(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    return c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
  }

  // Reads a string at its opening quote into out. *after: past its closing quote, null where it is broken. True where
  // it was well formed, fitted, and had no escape beyond ASCII (our ids and words never do).
  bool string(const char *p, char *out, size_t size, const char **after) const {
    if (after != nullptr) *after = nullptr;
    size_t n = 0;
    bool fits = size > 0;
    for (++p; p != end_; ++p) {
      if (*p == '"') {
        if (size > 0) out[fits ? n : 0] = '\0';
        if (after != nullptr) *after = p + 1;
        return fits;
      }
      char c = *p;
      if (static_cast<unsigned char>(c) < 0x20) return false;
      if (c == '\\' && !escape(&p, &c)) {
        if (p == nullptr) return false;
        fits = false;
      }
      if (fits && n + 1 < size) out[n++] = c;
      else fits = false;
    }
    return false;
  }

  // At a backslash: moves *at to the escape's last byte. False with *at null: broken; false else: not ASCII.
  bool escape(const char **at, char *c) const {
    const char *p = *at + 1;
    *at = nullptr;
    if (p == end_) return false;
    static const char from[] = "\"\\/bfnrt";
    static const char to[] = "\"\\/\b\f\n\r\t";
    const char *known = *p == '\0' ? nullptr : strchr(from, *p);
    if (known != nullptr) {
      *c = to[known - from];
      *at = p;
      return true;
    }
    if (*p != 'u' || end_ - p < 5) return false;
    int code = 0;
    for (int i = 1; i <= 4; ++i) {
      const int h = hex(p[i]);
      if (h < 0) return false;
      code = code * 16 + h;
    }
    *at = p + 4;
    *c = static_cast<char>(code);
    return code > 0 && code < 0x80;
  }
};

// What stands between an order and the motor: whom the board follows, when it last heard them, which stop is latched.
// It decides nothing about outputs; the carriage asks it and acts.
#pragma once

#include <stdint.h>
#include <stdio.h>
#include <string.h>

// A desk on the bus: the yard computer, by its number and, where two are equal, by the greater word.
struct Desk {
  static const size_t kWord = 81;
  char word[kWord] = "";
  uint64_t epoch = 0;

  bool higherThan(const Desk &other) const {
    return epoch != other.epoch ? epoch > other.epoch : strcmp(word, other.word) > 0;
  }
  bool same(const Desk &other) const { return epoch == other.epoch && strcmp(word, other.word) == 0; }
};

class Fences {
 public:
  static const uint32_t kLeastSilenceMs = 500;
  static const uint32_t kMostSilenceMs = 60000;

  const Desk &followed() const { return followed_; }
  uint32_t silenceMs() const { return silenceMs_; }
  uint64_t obeyed() const { return obeyed_; }
  bool stopped() const { return latched_; }
  bool silent() const { return silent_; }

  // Silence counts from here: a connection has begun, or another desk is followed.
  void arm(uint32_t now) {
    heardAt_ = now;
    heartbeat_ = false;
    silent_ = false;
  }

  // True where it is higher than all before: from now on only that one is followed.
  bool hearDesk(uint32_t now, const Desk &desk) {
    if (!desk.higherThan(followed_)) return false;
    followed_ = desk;
    arm(now);
    return true;
  }

  // A heartbeat of the desk it follows, ageMs old. True where it is the first after a silence.
  bool hearHeartbeat(uint32_t now, uint32_t ageMs, uint32_t silenceMs) {
    // one that lay in a queue for longer than the silence proves nothing any more
    if (ageMs > silenceMs) return false;
    const bool back = silent_;
    if (silent_ || now - heardAt_ > ageMs) heardAt_ = now - ageMs;
    heartbeat_ = true;
    silent_ = false;
    silenceMs_ = silenceMs;
    return back;
  }

  // True once, when silenceMs have passed without a heartbeat. Kept as a flag, so that the clock may wrap meanwhile.
  bool fallsSilent(uint32_t now) {
    if (silent_ || now - heardAt_ <= silenceMs_) return false;
    silent_ = true;
    heartbeat_ = false;
    return true;
  }

  bool heartbeatFresh(uint32_t now) const { return heartbeat_ && now - heardAt_ <= silenceMs_; }

  // A latched stop on `stop`: of the number last cleared it is late. Outputs go off wherever this is not Late.
  enum class Stop : uint8_t { Late, Again, Anew };
  Stop hearStop(uint64_t n) {
    if (n == 0 || n == cleared_) return Stop::Late;
    const bool anew = !latched_ || n > obeyed_;
    latched_ = true;
    if (n > latchedN_) latchedN_ = n;
    if (n > obeyed_) obeyed_ = n;
    return anew ? Stop::Anew : Stop::Again;
  }

  // The stop in a heartbeat: of no effect unless above the number last cleared.
  Stop hearHeartbeatStop(uint64_t n) { return n > cleared_ ? hearStop(n) : Stop::Late; }

  // `latched:false` of the desk it follows; of any other it means nothing.
  void hearClear(const Desk &desk, uint64_t n) {
    if (!desk.same(followed_)) return;
    if (n > cleared_) cleared_ = n;
    if (latched_ && n >= latchedN_) latched_ = false;
  }

 private:
  Desk followed_;
  bool heartbeat_ = false;  // one of that desk has come, and silence has not
  bool silent_ = true;
  uint32_t heardAt_ = 0;
  uint32_t silenceMs_ = 1000;
  bool latched_ = false;
  uint64_t latchedN_ = 0;
  uint64_t obeyed_ = 0;
  uint64_t cleared_ = 0;
};

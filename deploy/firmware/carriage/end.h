#pragma once

#include <stdint.h>

// An end sensor: a reading counts once it has stood for the settling time.
class End {
 public:
  bool made() const { return made_; }
  uint64_t edges() const { return edges_; }

  // True at an edge.
  bool read(bool made, uint32_t now, uint32_t settleMs) {
    if (!known_) {
      known_ = true;
      made_ = made;
    }
    if (made == made_) {
      trembles_ = false;
      return false;
    }
    if (!trembles_) {
      trembles_ = true;
      since_ = now;
    }
    if (now - since_ < settleMs) return false;
    trembles_ = false;
    made_ = made;
    ++edges_;
    return true;
  }

 private:
  bool known_ = false;
  bool made_ = false;
  bool trembles_ = false;
  uint32_t since_ = 0;
  uint64_t edges_ = 0;
};

// A carriage between two end sensors, as the bus contract wants a controller to behave: the logic alone, without a
// pin, a radio or a clock, so that it can be tried on a table before it moves anything.
//
// The sketch next to it lends it the time, the two sensors, the motor, the post and chance. It calls tick() on every
// pass of its loop, and hears() for every message.
//
//   at rest -- do accepted --> pausing -- energised: started --> moving -- its sensor made: done --> at rest
//                                                     limit, both ends: failed;  halt: halted;
//                                                     stop, silence, a higher desk, link gone: off without a word
//
// Time is millis(): 32 bits that wrap after 49.7 days. Only differences are taken (`now - then`), and whatever may
// last longer than that (silence, a latched stop, rest) is kept as a flag, never as an old time.
#pragma once

#include "end.h"
#include "fences.h"
#include "flat_json.h"
#include "parts.h"
#include "speech.h"

class Carriage {
 public:
  static const size_t kLongestMessage = 4096;
  static const uint32_t kListenMs = 200;

  Carriage(const CarriageSettings &settings, Motor &motor, Post &post, Chance &chance)
      : s_(settings), motor_(motor), chance_(chance), speech_(s_, post) {
    newWord(chance_, session_);
    snprintf(first_, sizeof first_, "%s", session_);
  }

  // A word never used before, for a session.
  static void newWord(Chance &chance, char (&word)[Desk::kWord]) {
    static const char digits[] = "0123456789abcdefghijklmnopqrstuvwxyz";
    uint64_t n = (static_cast<uint64_t>(chance.number()) << 32) | chance.number();
    size_t i = 0;
    for (; i < 10; ++i, n /= 36) word[i] = digits[n % 36];
    word[i] = '\0';
  }

  // Connected and subscribed, with the session that its will bears. For a moment it only listens: what the broker had
  // kept comes first, and neither an order nor a heartbeat among it is fresh. Nobody knows the new session yet, so
  // nothing is missed.
  void connected(uint32_t now, const char *session) {
    letGo(now);
    snprintf(session_, sizeof session_, "%s", session);
    snprintf(first_, sizeof first_, "%s", session);
    linked_ = true;
    listening_ = true;
    linkedAt_ = now;
    fences_.arm(now);
  }

  // Off at once, though the silence would see to it.
  void disconnected(uint32_t now) {
    linked_ = false;
    listening_ = false;
    off(now);
  }

  // The loop stood still, and the outputs were cut behind its back: what was under way has ended.
  void stumbled(uint32_t now) {
    letGo(now);
    report();
  }

  // One pass of the loop. Silence first: after a loop that stood still nothing in hand is fresh.
  void tick(uint32_t now, bool outMade, bool backMade) {
    if (fences_.fallsSilent(now)) letGo(now);
    if (!energised_) motor_.drive(Drive::Off);
    if (out_.read(outMade, now, s_.settleMs)) sense(out_);
    if (back_.read(backMade, now, s_.settleMs)) sense(back_);
    if (listening_ && now - linkedAt_ >= kListenMs) {
      listening_ = false;
      report();
      beat(now);
    }
    judge(now);
    if (talks() && now - beatAt_ >= fences_.silenceMs() / 4) beat(now);
  }

  // A message, and how long ago it came in. What does not read as the contract has it is dropped.
  void hears(uint32_t now, uint32_t ageMs, const char *topic, const char *payload, size_t length) {
    if (length > kLongestMessage) return;
    const FlatJson m(payload, length);
    if (!m.whole()) return;
    Desk desk;
    const bool from = m.text("desk", desk.word, sizeof desk.word) && desk.word[0] != '\0' && m.count("epoch", &desk.epoch);
    if (speech_.isTopic(topic, "stop")) return from ? hearStop(now, desk, m) : void();
    if (speech_.isTopic(topic, "desk")) return from ? hearDesk(now, desk) : void();
    if (speech_.isTopic(topic, "halt", "prop", s_.prop)) return hearHalt(now, m);
    if (!talks()) return;
    if (speech_.isTopic(topic, "heartbeat")) return from ? hearHeartbeat(now, ageMs, desk, m) : void();
    if (speech_.isTopic(topic, "do", "prop", s_.prop)) return from ? hearDo(now, desk, m) : void();
    if (speech_.isTopic(topic, "announce")) return report();
    bool up = true;
    // a late will of an earlier connection of ours: say again that we are here
    if (speech_.isTopic(topic, "link", "controller", s_.controller) && m.truth("up", &up) && !up) report();
  }

  bool moving() const { return energised_; }
  bool stopped() const { return fences_.stopped(); }
  bool silent() const { return fences_.silent(); }

 private:
  enum class Phase : uint8_t { None, Pausing, Moving, Over };

  const CarriageSettings s_;
  Motor &motor_;
  Chance &chance_;
  Speech speech_;
  Fences fences_;
  bool linked_ = false;
  bool listening_ = false;
  uint32_t linkedAt_ = 0;
  uint32_t beatAt_ = 0;
  uint64_t beats_ = 0;
  char session_[Desk::kWord] = "";
  char first_[Desk::kWord] = "";
  // the last order accepted in this session, and what was said of it last
  Phase phase_ = Phase::None;
  Order order_;
  Drive way_ = Drive::Off;
  uint32_t limitMs_ = 0;
  uint32_t startedAt_ = 0;
  const char *lastIs_ = "";
  const char *lastWhy_ = nullptr;
  int64_t lastMs_ = -1;
  bool energised_ = false;
  bool rested_ = true;
  uint32_t offAt_ = 0;
  End out_;
  End back_;

  bool talks() const { return linked_ && !listening_; }
  bool underWay() const { return phase_ == Phase::Pausing || phase_ == Phase::Moving; }

  void off(uint32_t now) {
    motor_.drive(Drive::Off);
    if (energised_) {
      offAt_ = now;
      rested_ = false;
    }
    energised_ = false;
    if (underWay()) phase_ = Phase::Over;
  }

  // Outputs off, nothing remembered, a new session: no order sent before this moment can move anything after it.
  void letGo(uint32_t now) {
    off(now);
    phase_ = Phase::None;
    newWord(chance_, session_);
  }

  void hearDesk(uint32_t now, const Desk &desk) {
    // while it only listens nothing has begun under its session, and nobody knows it yet
    if (!fences_.hearDesk(now, desk) || listening_) return;
    letGo(now);
    report();
  }

  void hearHeartbeat(uint32_t now, uint32_t ageMs, const Desk &desk, const FlatJson &m) {
    uint64_t silenceMs = 0, stop = 0;
    if (!m.count("silenceMs", &silenceMs) || !m.count("stop", &stop)) return;
    // outside these bounds it is no heartbeat: nothing on the bus may disarm the watch
    if (silenceMs < Fences::kLeastSilenceMs || silenceMs > Fences::kMostSilenceMs) return;
    hearDesk(now, desk);
    const bool ours = desk.same(fences_.followed());
    const bool back = ours && fences_.hearHeartbeat(now, ageMs, static_cast<uint32_t>(silenceMs));
    if (!obey(now, stop, fences_.hearHeartbeatStop(stop)) && back) report();
  }

  void hearStop(uint32_t now, const Desk &desk, const FlatJson &m) {
    uint64_t n = 0;
    bool latched = false;
    if (!m.truth("latched", &latched) || !m.count("n", &n)) return;
    hearDesk(now, desk);
    if (latched) obey(now, n, fences_.hearStop(n));
    else fences_.hearClear(desk, n);
  }

  // True where the stop was new, and has been answered.
  bool obey(uint32_t now, uint64_t n, Fences::Stop stop) {
    if (stop == Fences::Stop::Late) return false;
    off(now);
    if (stop == Fences::Stop::Again) return false;
    letGo(now);
    if (linked_) speech_.stopped(n, session_, motor_.isOff());
    report();
    return true;
  }

  void hearHalt(uint32_t now, const FlatJson &m) {
    char prop[41];
    if (!m.text("prop", prop, sizeof prop) || strcmp(prop, s_.prop) != 0) return;
    const bool was = underWay();
    off(now);
    if (was) end("halted", nullptr, -1);
    else if (!linked_) return;
    else if (phase_ == Phase::None) speech_.haltedIdle(session_);
    else speech_.did(order_, "halted", session_, nullptr, -1);
  }

  void hearDo(uint32_t now, const Desk &desk, const FlatJson &m) {
    char prop[41], session[Desk::kWord];
    Order order;
    uint64_t limitMs = 0;
    if (!m.text("prop", prop, sizeof prop) || strcmp(prop, s_.prop) != 0) return;
    if (!m.text("run", order.run, sizeof order.run) || !Speech::plain(order.run)) return;
    if (!m.text("move", order.move, sizeof order.move) || !Speech::id(order.move)) return;
    if (!m.count("step", &order.step) || !m.text("session", session, sizeof session)) return;
    if (!m.count("limitMs", &limitMs) || limitMs == 0) return;
    if (strcmp(session, session_) != 0) return refuse(order, "session");
    if (!desk.same(fences_.followed())) return refuse(order, "epoch");
    const bool again = phase_ != Phase::None && order.step == order_.step && strcmp(order.run, order_.run) == 0;
    // said again, not done again; a move still pausing says `started` when it is energised
    if (again) return phase_ == Phase::Pausing ? void() : speech_.did(order_, lastIs_, session_, lastWhy_, lastMs_);
    if (fences_.stopped()) return refuse(order, "stopped");
    if (!fences_.heartbeatFresh(now)) return refuse(order, "heartbeat");
    if (underWay()) return refuse(order, "busy");
    const bool out = strcmp(order.move, s_.outMove) == 0;
    if (!out && strcmp(order.move, s_.backMove) != 0) return refuse(order, "unknown");
    order_ = order;
    way_ = out ? Drive::Out : Drive::Back;
    limitMs_ = limitMs > s_.longestMs ? s_.longestMs : static_cast<uint32_t>(limitMs);
    phase_ = Phase::Pausing;
    judge(now);
  }

  // What the move under way comes to at this pass.
  void judge(uint32_t now) {
    if (!rested_ && now - offAt_ >= s_.pauseMs) rested_ = true;
    if (!underWay()) return;
    const bool arrived = way_ == Drive::Out ? out_.made() : back_.made();
    if (out_.made() && back_.made()) {
      // with dark lamps both read made: it can't know where it is, so it does not go
      off(now);
      return end("failed", "both-ends", -1);
    }
    if (phase_ == Phase::Pausing) {
      if (!rested_ && !arrived) return;
      startedAt_ = now;
      phase_ = Phase::Moving;
      energised_ = !arrived;
      if (energised_) motor_.drive(way_);
      say("started", nullptr, -1);
    }
    if (arrived) {
      off(now);
      end("done", nullptr, static_cast<int64_t>(now - startedAt_));
    } else if (now - startedAt_ >= limitMs_) {
      off(now);
      end("failed", "limit", -1);
    }
  }

  void end(const char *is, const char *why, int64_t ms) {
    phase_ = Phase::Over;
    say(is, why, ms);
  }

  void say(const char *is, const char *why, int64_t ms) {
    lastIs_ = is;
    lastWhy_ = why;
    lastMs_ = ms;
    if (linked_) speech_.did(order_, is, session_, why, ms);
  }

  void refuse(const Order &order, const char *why) {
    if (linked_) speech_.did(order, "refused", session_, why, -1);
  }

  void sense(const End &end) {
    if (talks()) speech_.sense(&end == &out_ ? s_.outEnd : s_.backEnd, end.made(), session_, end.edges());
  }

  // Who it is and what it reads: on connecting, and whenever somebody may not know.
  void report() {
    if (!talks()) return;
    speech_.link(session_, first_, fences_.obeyed(), fences_.followed().epoch);
    sense(out_);
    sense(back_);
  }

  void beat(uint32_t now) {
    beatAt_ = now;
    speech_.beat(session_, ++beats_);
  }
};

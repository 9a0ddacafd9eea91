// Runs the carriage's logic on a line of text at a time, so that a test can be its clock, its sensors and its bus.
//
//   tick MS FAR NEAR | connected MS WORD | disconnected MS | stumbled MS | hears MS AGE TOPIC PAYLOADHEX
//   will WORD | subscriptions | json HEX
//
// Answers with lines of fields split by tabs (motor, pub, will, sub, json) and ends each answer with a full stop.
#include <cstdio>
#include <cstdlib>
#include <iostream>
#include <sstream>
#include <string>

#include "../../deploy/firmware/carriage/carriage.h"
#include "../../deploy/firmware/carriage/settings.h"

namespace {

class HostMotor : public Motor {
 public:
  void drive(Drive way) override {
    if (way != way_) std::printf("motor\t%s\n", way == Drive::Off ? "off" : way == Drive::Out ? "out" : "back");
    way_ = way;
  }
  bool isOff() override { return way_ == Drive::Off; }

 private:
  Drive way_ = Drive::Off;
};

class HostPost : public Post {
 public:
  void send(const char *topic, const char *payload, bool retained, int qos) override {
    std::printf("pub\t%s\t%d\t%d\t%s\n", topic, retained ? 1 : 0, qos, payload);
  }
};

class HostChance : public Chance {
 public:
  uint32_t number() override { return state_ = state_ * 1664525u + 1013904223u; }

 private:
  uint32_t state_ = 1;
};

std::string bytesOf(const std::string &hex) {
  std::string out;
  for (size_t i = 0; i + 1 < hex.size(); i += 2)
    out.push_back(static_cast<char>(std::strtol(hex.substr(i, 2).c_str(), nullptr, 16)));
  return out;
}

// A copy on the heap of exactly its length, so that a read past its end is caught.
struct Exact {
  explicit Exact(const std::string &s) : size(s.size()), bytes(new char[s.size()]) { s.copy(bytes, size); }
  ~Exact() { delete[] bytes; }
  Exact(const Exact &) = delete;
  Exact &operator=(const Exact &) = delete;
  const size_t size;
  char *const bytes;
};

void readJson(const std::string &text) {
  const Exact copy(text);
  const FlatJson m(copy.bytes, copy.size);
  char word[64];
  uint64_t n = 0;
  bool truth = false;
  std::printf("json\t%d", m.whole() ? 1 : 0);
  if (m.text("a", word, sizeof word)) {
    std::printf("\ttext\t");
    for (const char *p = word; *p != '\0'; ++p) std::printf("%02x", static_cast<unsigned char>(*p));
  }
  if (m.count("a", &n)) std::printf("\tcount\t%" PRIu64, n);
  if (m.truth("a", &truth)) std::printf("\ttruth\t%d", truth ? 1 : 0);
  std::printf("\n");
}

}  // namespace

int main() {
  HostMotor motor;
  HostPost post;
  HostChance chance;
  Carriage carriage(kCarriage, motor, post, chance);
  for (std::string line; std::getline(std::cin, line);) {
    std::istringstream in(line);
    std::string verb, topic, hex;
    uint32_t now = 0, age = 0;
    int far = 0, near = 0;
    in >> verb;
    if (verb == "tick") {
      in >> now >> far >> near;
      carriage.tick(now, far != 0, near != 0);
    } else if (verb == "connected") {
      in >> now >> topic;
      carriage.connected(now, topic.c_str());
    } else if (verb == "disconnected") {
      in >> now;
      carriage.disconnected(now);
    } else if (verb == "stumbled") {
      in >> now;
      carriage.stumbled(now);
    } else if (verb == "hears") {
      in >> now >> age >> topic >> hex;
      const Exact payload(bytesOf(hex));
      carriage.hears(now, age, topic.c_str(), payload.bytes, payload.size);
    } else if (verb == "will") {
      in >> topic;
      char t[Speech::kTopic], p[Speech::kPayload];
      Speech::will(kCarriage, topic.c_str(), t, p);
      std::printf("will\t%s\t%s\n", t, p);
    } else if (verb == "subscriptions") {
      char t[Speech::kTopic];
      int qos = 0;
      for (int i = 0; Speech::subscription(kCarriage, i, t, &qos); ++i) std::printf("sub\t%s\t%d\n", t, qos);
    } else if (verb == "json") {
      in >> hex;
      readJson(bytesOf(hex));
    } else {
      std::printf("unknown\t%s\n", verb.c_str());
    }
    std::printf(".\n");
    std::fflush(stdout);
  }
}

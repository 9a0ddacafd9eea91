// What the logic wants of the board it runs on.
#pragma once

#include <stdint.h>

enum class Drive : uint8_t { Off, Out, Back };

// The motor. Off must be what it does when nothing is said to it.
class Motor {
 public:
  virtual void drive(Drive way) = 0;
  // Whether the outputs read back as off: what 'safe' in the answer to a stop rests on.
  virtual bool isOff() = 0;

 protected:
  ~Motor() = default;
};

// A random number; sessions are made of it. It must differ from one power-up to the next.
class Chance {
 public:
  virtual uint32_t number() = 0;

 protected:
  ~Chance() = default;
};

// The way to the broker. It returns at once. What can't be sent is lost; then the connection is to be made anew, so
// that all is said again under a new session.
class Post {
 public:
  virtual void send(const char *topic, const char *payload, bool retained, int qos) = 0;

 protected:
  ~Post() = default;
};

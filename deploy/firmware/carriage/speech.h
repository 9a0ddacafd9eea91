// What the board says on the bus: topics and payloads, to the letter of the contract.
#pragma once

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "parts.h"

struct CarriageSettings {
  const char *root;        // of the bus, `yard` unless the yard file says otherwise
  const char *controller;  // this board's id
  const char *prop;        // the prop it drives
  const char *outEnd;      // id of the sensor at the far end, and of the move that goes there
  const char *outMove;
  const char *backEnd;  // the same of the near end
  const char *backMove;
  const char *firmware;
  uint32_t longestMs;  // no move runs longer than this, whatever the order allows
  uint32_t pauseMs;    // rest between off and on again, so that the motor has stopped before it turns back
  uint32_t settleMs;   // a reading must stand this long to count: contacts and blades tremble
};

// A move as it was ordered.
struct Order {
  char run[81] = "";
  uint64_t step = 0;
  char move[41] = "";
};

class Speech {
 public:
  static const size_t kTopic = 160;
  static const size_t kPayload = 512;

  Speech(const CarriageSettings &settings, Post &post) : s_(settings), post_(post) {}

  // The will for a connection that is about to begin with this session, and its topic.
  static void will(const CarriageSettings &s, const char *session, char *topic, char *payload) {
    snprintf(topic, kTopic, "%s/controller/%s/link", s.root, s.controller);
    snprintf(payload, kPayload, "{\"up\":false,\"session\":\"%s\"}", session);
  }

  // The topics to subscribe to on each connection, by number from 0; false past the last.
  static bool subscription(const CarriageSettings &s, int i, char *topic, int *qos) {
    static const char *const everybody[] = {"stop", "desk", "announce", "heartbeat"};
    *qos = i == 3 || i == 6 ? 0 : 1;
    if (i >= 0 && i < 4) snprintf(topic, kTopic, "%s/%s", s.root, everybody[i]);
    else if (i == 4) snprintf(topic, kTopic, "%s/controller/%s/link", s.root, s.controller);
    else if (i == 5) snprintf(topic, kTopic, "%s/prop/%s/halt", s.root, s.prop);
    else if (i == 6) snprintf(topic, kTopic, "%s/prop/%s/do", s.root, s.prop);
    else return false;
    return true;
  }

  // Whether a topic is `<root>/<last>`, or `<root>/<kind>/<id>/<last>`.
  bool isTopic(const char *topic, const char *last, const char *kind = nullptr, const char *id = nullptr) const {
    char own[kTopic];
    if (kind == nullptr) snprintf(own, kTopic, "%s/%s", s_.root, last);
    else snprintf(own, kTopic, "%s/%s/%s/%s", s_.root, kind, id, last);
    return strcmp(topic, own) == 0;
  }

  // Words that are echoed stand in JSON as they are: those that would need escapes are not accepted.
  static bool plain(const char *text) {
    if (*text == '\0') return false;
    for (; *text != '\0'; ++text)
      if (*text == '"' || *text == '\\' || static_cast<unsigned char>(*text) < 0x20) return false;
    return true;
  }

  // Whether a move's name is an id of the contract: what is none can't be said back.
  static bool id(const char *text) {
    if (*text == '\0') return false;
    for (; *text != '\0'; ++text) {
      const bool plainChar = (*text >= 'a' && *text <= 'z') || (*text >= '0' && *text <= '9') || *text == '-';
      if (!plainChar) return false;
    }
    return true;
  }

  void link(const char *session, const char *first, uint64_t stop, uint64_t epoch) {
    char payload[kPayload];
    snprintf(payload, kPayload,
             "{\"up\":true,\"session\":\"%s\",\"first\":\"%s\",\"contract\":1,\"props\":[\"%s\"],\"stop\":%" PRIu64
             ",\"epoch\":%" PRIu64 ",\"firmware\":\"%s\"}",
             session, first, s_.prop, stop, epoch, s_.firmware);
    send("controller", s_.controller, "link", payload, true, 1);
  }

  void sense(const char *sensor, bool made, const char *session, uint64_t edges) {
    char last[64], payload[kPayload];
    snprintf(last, sizeof last, "sense/%s", sensor);
    snprintf(payload, kPayload, "{\"prop\":\"%s\",\"made\":%s,\"session\":\"%s\",\"n\":%" PRIu64 "}", s_.prop,
             made ? "true" : "false", session, edges);
    send("prop", s_.prop, last, payload, true, 1);
  }

  void beat(const char *session, uint64_t n) {
    char payload[kPayload];
    snprintf(payload, kPayload, "{\"session\":\"%s\",\"n\":%" PRIu64 "}", session, n);
    send("controller", s_.controller, "beat", payload, false, 0);
  }

  void stopped(uint64_t n, const char *session, bool safe) {
    char payload[kPayload];
    snprintf(payload, kPayload, "{\"n\":%" PRIu64 ",\"session\":\"%s\",\"safe\":%s}", n, session,
             safe ? "true" : "false");
    send("controller", s_.controller, "stopped", payload, false, 1);
  }

  // `why` may be null, `ms` below 0: then they are not said.
  void did(const Order &order, const char *is, const char *session, const char *why, int64_t ms) {
    char more[64] = "", payload[kPayload];
    if (why != nullptr) snprintf(more, sizeof more, ",\"why\":\"%s\"", why);
    if (ms >= 0) snprintf(more, sizeof more, ",\"ms\":%" PRId64, ms);
    snprintf(payload, kPayload,
             "{\"prop\":\"%s\",\"run\":\"%s\",\"step\":%" PRIu64 ",\"move\":\"%s\",\"is\":\"%s\",\"session\":\"%s\"%s}",
             s_.prop, order.run, order.step, order.move, is, session, more);
    send("prop", s_.prop, "did", payload, false, 1);
  }

  // Halted at rest, in a session in which nothing was ordered yet.
  void haltedIdle(const char *session) {
    char payload[kPayload];
    snprintf(payload, kPayload, "{\"prop\":\"%s\",\"is\":\"halted\",\"session\":\"%s\"}", s_.prop, session);
    send("prop", s_.prop, "did", payload, false, 1);
  }

 private:
  const CarriageSettings &s_;
  Post &post_;

  void send(const char *kind, const char *id, const char *last, const char *payload, bool retained, int qos) {
    char topic[kTopic];
    snprintf(topic, kTopic, "%s/%s/%s/%s", s_.root, kind, id, last);
    post_.send(topic, payload, retained, qos);
  }
};

// A two-end carriage for a board of the ESP32 family, with the Arduino core and the general library "MQTT".
//
// Read ../README.md first: wiring, the red button, mains and wet ground. This sketch is no safety device.
//
// Three things run side by side and never wait for each other:
//   loop()       reads the sensors, drives the motor, decides. It touches no network.
//   post task    speaks to the broker, which may take its time. It touches no pin.
//   dead man     a timer that cuts the outputs if loop() stands still.
// Between the first two lie two queues. What comes in is stamped with its time; what goes out bears the number of the
// connection it was meant for, and is dropped if that one is gone.

#include <MQTT.h>
#include <WiFi.h>
#include <esp_timer.h>
#if __has_include(<esp_random.h>)  // newer cores keep esp_random() there
#include <esp_random.h>
#endif

#include "carriage.h"
#include "settings.h"

// ---- outputs

class TwoInputs : public Motor {
 public:
  void begin() {
    // levels first, then outputs: no pin is ever on by accident
    digitalWrite(kOutPin, !kDriverOn);
    digitalWrite(kBackPin, !kDriverOn);
    pinMode(kOutPin, OUTPUT);
    pinMode(kBackPin, OUTPUT);
    drive(Drive::Off);
  }

  void drive(Drive way) override {
    // the other one goes off before this one goes on
    if (way != Drive::Out) digitalWrite(kOutPin, !kDriverOn);
    if (way != Drive::Back) digitalWrite(kBackPin, !kDriverOn);
    if (way == Drive::Out) digitalWrite(kOutPin, kDriverOn);
    if (way == Drive::Back) digitalWrite(kBackPin, kDriverOn);
  }

  // The pins as they stand. It says nothing about a welded relay: only the red button helps there.
  bool isOff() override { return digitalRead(kOutPin) != kDriverOn && digitalRead(kBackPin) != kDriverOn; }
};

class Dice : public Chance {
 public:
  uint32_t number() override { return esp_random(); }
};

// ---- queues between loop and post

struct Incoming {
  enum Kind : uint8_t { Connected, Disconnected, Message } kind;
  uint32_t connection;
  uint32_t at;
  uint16_t length;
  char topic[Speech::kTopic];
  char payload[Carriage::kLongestMessage];  // of Connected: the session
};

struct Outgoing {
  uint32_t connection;
  uint32_t at;
  bool retained;
  uint8_t qos;
  char topic[Speech::kTopic];
  char payload[Speech::kPayload];
};

static QueueHandle_t incoming;
static QueueHandle_t outgoing;
static volatile bool overflowed = false;

class Outbox : public Post {
 public:
  uint32_t connection = 0;

  void send(const char *topic, const char *payload, bool retained, int qos) override {
    out_.connection = connection;
    out_.at = millis();
    out_.retained = retained;
    out_.qos = static_cast<uint8_t>(qos);
    snprintf(out_.topic, sizeof out_.topic, "%s", topic);
    snprintf(out_.payload, sizeof out_.payload, "%s", payload);
    // a beat that is lost is lost; anything else makes the connection begin anew, and all is said again
    if (xQueueSend(outgoing, &out_, 0) != pdTRUE && qos > 0) overflowed = true;
  }

 private:
  Outgoing out_;
};

static TwoInputs motor;
static Dice dice;
static Outbox outbox;
static Carriage carriage(kCarriage, motor, outbox, dice);

// ---- dead man

static volatile uint32_t passedAt = 0;
static volatile bool cut = false;

static void deadMan(void *) {
  const uint32_t then = passedAt;  // read first: loop() may pass between the two, and time must not run backwards
  if (millis() - then <= kDeadManMs) return;
  motor.drive(Drive::Off);
  cut = true;
}

// ---- post task

static WiFiClient net;
static MQTTClient mqtt(Carriage::kLongestMessage + 256);
static Incoming heard;  // too large for a stack

static void tell(Incoming::Kind kind, uint32_t connection) {
  heard.kind = kind;
  heard.connection = connection;
  heard.at = millis();
  xQueueSend(incoming, &heard, portMAX_DELAY);
}

static uint32_t connection = 0;

static void onMessage(MQTTClient *, char topic[], char bytes[], int length) {
  if (length < 0 || length > static_cast<int>(sizeof heard.payload) || strlen(topic) >= sizeof heard.topic) return;
  snprintf(heard.topic, sizeof heard.topic, "%s", topic);
  memcpy(heard.payload, bytes, static_cast<size_t>(length));
  heard.length = static_cast<uint16_t>(length);
  tell(Incoming::Message, connection);
}

// Connects with a new session in its will, subscribes, and tells the loop. False: try again later.
static bool dial() {
  char session[Desk::kWord], topic[Speech::kTopic], payload[Speech::kPayload];
  Carriage::newWord(dice, session);
  Speech::will(kCarriage, session, topic, payload);
  mqtt.setWill(topic, payload, true, 1);
  ++connection;
  overflowed = false;
  if (!mqtt.connect(kCarriage.controller, kBrokerUser, kBrokerPassword)) return false;
  net.setNoDelay(true);
  int qos = 0;
  for (int i = 0; Speech::subscription(kCarriage, i, topic, &qos); ++i)
    if (!mqtt.subscribe(topic, qos)) return false;
  snprintf(heard.payload, sizeof heard.payload, "%s", session);
  tell(Incoming::Connected, connection);
  return true;
}

static void postTask(void *) {
  static Outgoing out;
  bool linked = false;
  for (;;) {
    if (!mqtt.connected() || !mqtt.loop() || overflowed) {
      if (linked) tell(Incoming::Disconnected, connection);
      linked = false;
      mqtt.disconnect();
      if (WiFi.status() == WL_CONNECTED) linked = dial();
      if (!linked) vTaskDelay(pdMS_TO_TICKS(500));
      continue;
    }
    if (xQueueReceive(outgoing, &out, pdMS_TO_TICKS(5)) != pdTRUE) continue;
    if (out.connection != connection) continue;
    // a beat that waited says something that may no longer be so
    if (out.qos == 0 && millis() - out.at > 250) continue;
    if (!mqtt.publish(out.topic, out.payload, static_cast<int>(strlen(out.payload)), out.retained, out.qos))
      overflowed = true;
  }
}

// ---- the board

void setup() {
  motor.begin();  // before anything else
  pinMode(kFarPin, INPUT_PULLUP);
  pinMode(kNearPin, INPUT_PULLUP);
  passedAt = millis();

  incoming = xQueueCreate(6, sizeof(Incoming));
  outgoing = xQueueCreate(24, sizeof(Outgoing));

  const esp_timer_create_args_t watch = {.callback = deadMan, .arg = nullptr, .name = "dead man"};
  esp_timer_handle_t timer;
  esp_timer_create(&watch, &timer);
  esp_timer_start_periodic(timer, 50 * 1000);
  enableLoopWDT();  // and a loop that never goes on restarts the board

  WiFi.mode(WIFI_STA);
  WiFi.setSleep(false);  // a radio that naps between messages loses the link
  WiFi.setAutoReconnect(true);
  WiFi.begin(kWifiName, kWifiPassword);

  mqtt.begin(kBroker, kBrokerPort, net);
  mqtt.setOptions(10, true, 1000);  // keep-alive 10 s, clean session, 1 s for an answer
  mqtt.onMessageAdvanced(onMessage);
  xTaskCreatePinnedToCore(postTask, "post", 8192, nullptr, 1, nullptr, 0);
}

static void take(const Incoming &in) {
  const uint32_t now = millis();
  if (in.kind == Incoming::Connected) {
    outbox.connection = in.connection;
    carriage.connected(now, in.payload);
  } else if (in.kind == Incoming::Disconnected) {
    carriage.disconnected(now);
  } else {
    carriage.hears(now, now - in.at, in.topic, in.payload, in.length);
  }
}

void loop() {
  static Incoming in;
  const uint32_t now = millis();
  passedAt = now;
  if (cut) {
    cut = false;
    carriage.stumbled(now);
  }
  carriage.tick(now, digitalRead(kFarPin) == kSensorMade, digitalRead(kNearPin) == kSensorMade);
  // one message a pass, so that a flood can't keep the loop from its sensors
  if (xQueueReceive(incoming, &in, 0) == pdTRUE) take(in);
  delay(1);
}

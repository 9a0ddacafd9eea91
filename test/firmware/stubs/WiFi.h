#pragma once

#include "Arduino.h"

enum wl_status_t { WL_CONNECTED = 3 };
enum wifi_mode_t { WIFI_STA = 1 };

class Client {};

class WiFiClient : public Client {
 public:
  int setNoDelay(bool on);
};

class WiFiClass {
 public:
  bool mode(wifi_mode_t mode);
  bool setSleep(bool on);
  bool setAutoReconnect(bool on);
  wl_status_t begin(const char *name, const char *password);
  wl_status_t status();
};
extern WiFiClass WiFi;

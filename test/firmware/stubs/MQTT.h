#pragma once

#include "WiFi.h"

class MQTTClient;
typedef void (*MQTTClientCallbackAdvanced)(MQTTClient *client, char topic[], char bytes[], int length);

class MQTTClient {
 public:
  explicit MQTTClient(int bufferSize);
  void begin(const char hostname[], int port, Client &client);
  void setOptions(int keepAlive, bool cleanSession, int timeout);
  void setWill(const char topic[], const char payload[], bool retained, int qos);
  void onMessageAdvanced(MQTTClientCallbackAdvanced callback);
  bool connect(const char clientId[], const char username[], const char password[]);
  bool connected();
  bool disconnect();
  bool loop();
  bool subscribe(const char topic[], int qos);
  bool publish(const char topic[], const char payload[], int length, bool retained, int qos);
};

// All that differs from one carriage to the next. Ids are those of the yard file, letter by letter.
#pragma once

#include "speech.h"

static const CarriageSettings kCarriage = {
    "yard",         // bus.root
    "ferry",        // the board's id: the prop's own, unless the yard file names a `controller`
    "ferry",        // the prop
    "far",          // the end that `out` goes to
    "out",          //
    "near",         // the end that `back` goes to: its home
    "back",         //
    "carriage 1",   // shown on its page
    20000,          // ms: no move ever runs longer, whatever it is told
    300,            // ms between off and on again
    5,              // ms a sensor must stand still to count
};

static const char kWifiName[] = "";      // of the yard's own access point
static const char kWifiPassword[] = "";
static const char kBroker[] = "192.168.8.2";  // the yard computer, as a number
static const int kBrokerPort = 1883;
static const char kBrokerUser[] = "";  // this board's id, where the broker asks for a password; else empty
static const char kBrokerPassword[] = "";

// Two inputs of the motor driver. Never both on. Each has 10 kilo-ohm to ground on the driver's side, so that the motor
// stands while the board starts, restarts or is unplugged.
static const int kOutPin = 25;
static const int kBackPin = 26;
static const int kDriverOn = 1;  // level that switches an input on; 0 for relay boards that are on when pulled low

// Two slot sensors with open collectors and a pull-up: high is blade in the gap, lamp dark or wire cut.
static const int kFarPin = 32;
static const int kNearPin = 33;
static const int kSensorMade = 1;

// Outputs go off by the timer if the loop stands still for this long.
static const uint32_t kDeadManMs = 300;

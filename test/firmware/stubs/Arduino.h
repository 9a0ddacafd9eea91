// As much of the board's core as the sketch names, with the types of its documentation: enough for a compiler to check
// the sketch, and nothing that runs.
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstring>

#define OUTPUT 0x03
#define INPUT_PULLUP 0x05

void digitalWrite(uint8_t pin, uint8_t level);
int digitalRead(uint8_t pin);
void pinMode(uint8_t pin, uint8_t mode);
unsigned long millis();
void delay(uint32_t ms);
uint32_t esp_random();
void enableLoopWDT();

typedef void *QueueHandle_t;
typedef void *TaskHandle_t;
typedef int BaseType_t;
typedef unsigned int UBaseType_t;
typedef uint32_t TickType_t;
#define pdTRUE 1
#define portMAX_DELAY 0xffffffffUL
#define pdMS_TO_TICKS(ms) (static_cast<TickType_t>(ms))

QueueHandle_t xQueueCreate(UBaseType_t length, UBaseType_t size);
BaseType_t xQueueSend(QueueHandle_t queue, const void *item, TickType_t wait);
BaseType_t xQueueReceive(QueueHandle_t queue, void *item, TickType_t wait);
void vTaskDelay(TickType_t ticks);
BaseType_t xTaskCreatePinnedToCore(void (*task)(void *), const char *name, uint32_t stack, void *arg,
                                   UBaseType_t priority, TaskHandle_t *handle, BaseType_t core);

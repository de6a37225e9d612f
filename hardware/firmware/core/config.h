/* What this build is, and the numbers PROTOCOL.md promises. Ceilings live here and nowhere else. */
#ifndef CONFIG_H
#define CONFIG_H

#define PROTOCOL_VERSION 1
#define FIRMWARE_MAJOR 0
#define FIRMWARE_MINOR 1
#define FIRMWARE_PATCH 0

#ifdef ONE_SWITCH
#define HAS_GUARD 0
#define FIRMWARE_NAME "Bathkeeper attended"
#else
#define HAS_GUARD 1
#define FIRMWARE_NAME "Bathkeeper"
#endif

/* Limits: the host may choose between floor and ceiling. Temperatures in 1/16 degC. */
#define CEILING_MAX_RAW 1520
#define FLOOR_MAX_RAW 480
#define CEILING_MAX_HEAT_S 21600u
#define FLOOR_MAX_HEAT_S 10u
#define CEILING_SILENCE_MS 3500u
#define FLOOR_SILENCE_MS 2500u
#define OVER_HYSTERESIS_RAW 32

/* Leases. */
#define LEASE_MAX_MS 2000u
#define NONCE_MAX_AGE_MS 700u
#define NONCES_KEPT 8
#define GUARD_LEAD_MS 100
#define HEAT_BREAK_MS 500u
#define HEAT_REST_MS 10000u

/* Link. */
#define CONNECTION_SILENCE_MS 10000ul
#define HOST_LOST_MS 30000ul
#define HOST_LOST_SOUND_MS 14400000ul
#define STATUS_PERIOD_MS 250u
#define STATUS_SPACING_MS 100u
#define CORRUPT_BUCKET 5
#define CORRUPT_LEAK_MS 10000ul

/* Inputs. */
#define LEVEL_DEBOUNCE_MS 1000u
#define STUCK_MS 20u

/* 1-Wire. */
#define FAMILY_DS18B20 0x28
#define PROBES_MAX 8
#define CONVERT_PERIOD_MS 1000u
#define CONVERT_WAIT_MS 760u
#define BATH_READS_MAX 3
#define PLAIN_READER_MS 3000u

#define SYSEX_MAX 96

#endif

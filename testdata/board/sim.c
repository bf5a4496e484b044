/* Runs the sketch on a simulated ATmega328P, with the board's serial output on
 * a pseudo-terminal: real firmware as the peer of a test.
 *
 *     sim FIRMWARE.elf LINK SECONDS START_MV MV_PER_SECOND
 *
 * LINK is made a symbolic link to the terminal. Input 0 sees a ramp, plus a few
 * millivolts of a fixed pattern as noise has them, which is what lets 16
 * conversions resolve more than one. One second of the board takes one second.
 * When it ends it prints on stderr what it did.
 *
 * A test program only: it links libsimavr, which is under the GNU General
 * Public License, version 3, and is no part of what is shipped. */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include <simavr/avr_adc.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>

#define HZ 16000000.0
#define SUPPLY_MV 5000
#define STEP_CYCLES 8000 /* look at the clock every 0.5 ms of the board's time */

static avr_t *avr;
static int master;
static long sent, dropped;
static double start_mv, mv_per_s;

static void die(const char *what) {
    perror(what);
    exit(1);
}

/* A conversion has begun: give the input its voltage. */
static void convert(struct avr_irq_t *irq, uint32_t value, void *unused) {
    static unsigned turn;
    avr_adc_mux_t mux;
    (void)irq, (void)unused;
    memcpy(&mux, &value, sizeof value);
    if (mux.kind != ADC_MUX_SINGLE || mux.src != 0) return;
    double mv = start_mv + mv_per_s * avr->cycle / HZ;
    mv += (double)(turn++ * 5 % 16) / 16 * SUPPLY_MV / 1024 - 0.5 * SUPPLY_MV / 1024;
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_ADC0), mv + 0.5);
}

/* A byte has left the board. A reader that does not keep up loses it, as on a
 * line without flow control. */
static void transmit(struct avr_irq_t *irq, uint32_t value, void *unused) {
    char c = value;
    (void)irq, (void)unused;
    sent++;
    if (write(master, &c, 1) != 1) dropped++;
}

static void no_sleep(avr_t *a, avr_cycle_count_t n) { (void)a, (void)n; }

static double wall(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return t.tv_sec + t.tv_nsec / 1e9;
}

/* The slave side stays open here, so that a reader may come and go. */
static void terminal(const char *link_name) {
    struct termios t;
    master = posix_openpt(O_RDWR | O_NOCTTY);
    if (master < 0 || grantpt(master) || unlockpt(master)) die("pseudo-terminal");
    int slave = open(ptsname(master), O_RDWR | O_NOCTTY);
    if (slave < 0 || tcgetattr(slave, &t)) die("pseudo-terminal");
    cfmakeraw(&t);
    if (tcsetattr(slave, TCSANOW, &t) || fcntl(master, F_SETFL, O_NONBLOCK)) die("pseudo-terminal");
    if (symlink(ptsname(master), link_name)) die(link_name);
}

int main(int argc, char **argv) {
    if (argc != 6) {
        fprintf(stderr, "usage: %s FIRMWARE.elf LINK SECONDS START_MV MV_PER_SECOND\n", argv[0]);
        return 2;
    }
    double seconds = atof(argv[3]);
    start_mv = atof(argv[4]), mv_per_s = atof(argv[5]);
    signal(SIGPIPE, SIG_IGN);

    elf_firmware_t firmware;
    memset(&firmware, 0, sizeof firmware);
    if (elf_read_firmware(argv[1], &firmware)) return 1;
    avr = avr_make_mcu_by_name("atmega328p");
    if (!avr || avr_init(avr)) return 1;
    avr_load_firmware(avr, &firmware);
    avr->frequency = HZ;
    avr->vcc = avr->avcc = avr->aref = SUPPLY_MV;
    avr->sleep = no_sleep; /* the pace is kept below: the stock sleep drifts */
    uint32_t flags = 0;    /* no echo on stdout, no sleeping in the UART */
    avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_OUT_TRIGGER), convert, NULL);
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), transmit, NULL);
    terminal(argv[2]);

    double began = wall();
    for (avr_cycle_count_t next = 0;;) {
        int state = avr_run(avr);
        if (state == cpu_Done || state == cpu_Crashed) return 1;
        if (avr->cycle < next) continue;
        next = avr->cycle + STEP_CYCLES;
        double board = avr->cycle / HZ, ahead = board - (wall() - began);
        if (board > seconds) break;
        if (ahead > 0) usleep(ahead * 1e6);
    }
    fprintf(stderr, "%ld bytes sent, %ld dropped, %.1f %% of a core\n", sent, dropped, 100.0 * clock() / CLOCKS_PER_SEC / (wall() - began));
    unlink(argv[2]);
    return 0;
}

/* Prints "micros,counts" lines at 115,200 baud: microseconds since power-up (they
 * wrap after 71.6 minutes) and input 0, 16 conversions added up to 12 bits. */
#include <avr/io.h> /* ATmega328P at 16 MHz */
#ifndef RATE
#define RATE 200 /* readings a second */
#endif
#if RATE < 31 || RATE > 250 || 1000000 % RATE
#error "RATE must divide 1,000,000 and be 31 to 250: above, a line outlasts a period"
#endif
static void put(char c) { while (!(UCSR0A & _BV(UDRE0))) {} UDR0 = c; }
static void number(uint32_t n, char end) {
    char digit[10];
    uint8_t i = 0;
    do digit[i++] = '0' + n % 10; while (n /= 10);
    while (i) put(digit[--i]);
    put(end);
}
int main(void) {
    UCSR0A = _BV(U2X0), UBRR0 = 16, UCSR0B = _BV(TXEN0); /* 115,200 baud, 8N1 */
    ADMUX = _BV(REFS0), ADCSRA = _BV(ADEN) | 6;          /* supply as reference */
    OCR1A = 2000000 / RATE - 1, TCCR1B = _BV(WGM12) | _BV(CS11);
    for (uint32_t us = 1000000 / RATE;; us += 1000000 / RATE) {
        uint16_t sum = 0;
        while (!(TIFR1 & _BV(OCF1A))) {} /* the next tick: it never comes early */
        TIFR1 = _BV(OCF1A);
        for (uint8_t i = 0; i < 16; i++, sum += ADC) {
            ADCSRA |= _BV(ADSC);
            while (ADCSRA & _BV(ADSC)) {}
        }
        number(us, ','), number(sum >> 2, '\n');
    }
}

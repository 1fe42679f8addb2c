/* What the firmware asks of its board. On the truck board.c talks to pins; on the bench
 * board_bench.c talks to bench_io.h. */
int read_pulses(void); /* since the last call */
int receiver_on(void);
int sill_made(void);
int teach_held(void);
int doors_may_move(void);
int eeprom_word(int at);
void write_eeprom_word(int at, int value);

void set_up(int on);
void set_down(int on);
void set_enable(int on);
void set_lamp(int on);
void set_tone(int on);
void say_down(int down);

/* In main.c. */
void setup(void);
void control(void);

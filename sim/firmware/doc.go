// Package firmware lets controllers from outside stand on the bench: a WebAssembly
// module ([OpenModule]), or a program on the standard input and output of which
// frames go to and fro ([OpenProgram]). Both see the same structs, which
// docs/firmware/bench_io.h describes to a C compiler.
//
// A controller from outside can fail as a whole: it traps, it does not come to an
// end, it dies. It has then gone silent, as a microcontroller that has crashed: its
// outputs are off until the next power-on, which starts it anew.
package firmware

package firmware

import (
	"testing"

	"slatbench/sim"
)

// listener is a door that always says that it sleeps and wants so many ticks, and whose count
// is made of every tick, supply and current that it was called with, in their order.
func listener(wants int) crafted {
	const asleep = outputsAt + sleepOut
	read := func(at int, op byte) []byte { return join(constant(at), []byte{op, 0, 0}) }
	mixed := add(join(load(scratchAt), constant(31), []byte{0x6C}), // times 31
		add(read(inputsAt, 0x28), add(read(inputsAt+4, 0x2F), read(inputsAt+6, 0x2F)))) // 32 and 16 bits
	return crafted{layout: goodLayout(servesDoor | tellsState | sleeps), tick: join(
		store(scratchAt, mixed), store(outputsAt+countOut, load(scratchAt)), constant(asleep), constant(wants), []byte{0x3A, 0, 0})}
}

// Of a sleep that is longer than what a byte can ask for, the last 255 ticks are played, each
// as it was; of a shorter one all of them. There is no bound to the sleep itself.
func TestSleepAtItsLimit(t *testing.T) {
	readings := func(tick int) (supply, current int) { return tick * 7 % 1024, tick * 13 % 1024 }
	for _, wants := range []int{1, 2, 254, 255} {
		doors, _ := openCrafted(t, listener(wants)).Controllers(1, 0.01)
		for _, slept := range []int{0, 1, 2, 253, 254, 255, 256, 257, 509, 510, 511, 2000} {
			wakes := slept + 1 // tick 0 is played, then it sleeps
			got := run(doors[0], wakes+1, func(tick int, in *sim.Inputs) {
				supply, current := readings(tick)
				in.Supply, in.Current, in.Press = uint16(supply), uint16(current), tick == wakes
			})
			want := int32(0)
			hear := func(tick int) {
				supply, current := readings(tick)
				want = want*31 + int32(tick+supply+current)
			}
			hear(0)
			for tick := wakes - min(slept, wants); tick <= wakes; tick++ {
				hear(tick)
			}
			if got[wakes] != int(want) {
				t.Errorf("wants %d, slept through %d: heard %d, expected %d", wants, slept, got[wakes], want)
			}
		}
	}
}

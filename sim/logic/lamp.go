package logic

// lamp is what a lamp does.
type lamp uint8

const (
	lampOff lamp = iota
	lampOn
	lampFlash
)

// A lamp flashes in ticks of 10 ms; after a refusal for flashTicks.
const (
	flashHalf  = 20
	flashTicks = 150
)

func lampWord(word string) lamp {
	switch word {
	case "on":
		return lampOn
	case "flash":
		return lampFlash
	}
	return lampOff
}

func (l lamp) lit(clock uint32) bool {
	return l == lampOn || l == lampFlash && clock/flashHalf%2 == 0
}

package logic

// lamp is what a lamp does.
type lamp uint8

const (
	lampOff lamp = iota
	lampOn
	lampFlash
)

// A lamp flashes in halves of flashHalf s; after a refusal for flashTime s.
const (
	flashHalf = 0.2
	flashTime = 1.5
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

// lit tells whether the lamp is lit now, with flashes of so many ticks a half.
func (l lamp) lit(now, half int) bool {
	return l == lampOn || l == lampFlash && now/half%2 == 0
}

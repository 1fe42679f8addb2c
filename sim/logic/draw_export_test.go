package logic

// Block is a rectangle of a drawing, with what it holds.
type Block struct {
	What       string
	X, Y, W, H float64
}

// Blocks are the boxes and the words of the exits of a machine as drawn, and how many
// single answers its exits name.
func (d *Drawing) Blocks(machine string) (list []Block, answers int) {
	l := lay(d.machine(machine))
	for _, column := range l.columns {
		for _, c := range column {
			if c.state == nil {
				continue
			}
			list = append(list, Block{c.state.Name, c.x, c.y, boxWidth, c.boxH})
			for _, e := range c.exits {
				answers += len(e.items)
				w := e.widest()
				if e.card == nil && !e.stays {
					w = max(w, arrowLength+textWidth(e.to, textSize)+14)
				}
				list = append(list, Block{c.state.Name + " exit to " + e.to, c.x + boxWidth + padding, c.y + e.top, w, e.height()})
			}
		}
	}
	return list, answers
}

// ExitRoom is how far to the right of a box its exits may reach.
const ExitRoom = boxWidth + exitWidth + channel/2

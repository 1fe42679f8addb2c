package fault

import "slatbench/model"

// driveKinds: motor, manual release, power stage.
var driveKinds = []Kind{
	{
		Name: "open-motor-lead", Place: OnBay,
		Doc:     "a motor lead is off or its brushes no longer touch",
		Changes: "the motor's circuit is open: no torque and no braking",
		change:  onBay(func(c *model.Condition, _ Values) { c.LeadOpen = true }),
	},
	{
		Name: "manual-release-open", Place: OnBay,
		Doc:     "somebody has pulled the manual release and not put it back",
		Changes: "shaft and drive are uncoupled",
		change:  onBay(func(c *model.Condition, _ Values) { c.ReleaseOpen = true }),
	},
	{
		Name: "welded-up-contact", Place: OnBay,
		Doc:     "the up contact of the power stage has welded",
		Changes: "the contact never opens; of two faults of one contact, the later counts",
		change:  onBay(func(c *model.Condition, _ Values) { c.UpContact = model.ContactWelded }),
	},
	{
		Name: "welded-down-contact", Place: OnBay,
		Doc:     "the down contact of the power stage has welded",
		Changes: "the contact never opens: up then brakes only",
		change:  onBay(func(c *model.Condition, _ Values) { c.DownContact = model.ContactWelded }),
	},
	{
		Name: "open-up-contact", Place: OnBay,
		Doc:     "the up contact, or its coil, is burnt",
		Changes: "the contact never makes",
		change:  onBay(func(c *model.Condition, _ Values) { c.UpContact = model.ContactOpen }),
	},
	{
		Name: "open-down-contact", Place: OnBay,
		Doc:     "the down contact, or its coil, is burnt",
		Changes: "the contact never makes",
		change:  onBay(func(c *model.Condition, _ Values) { c.DownContact = model.ContactOpen }),
	},
	{
		Name: "welded-enable-contact", Place: OnBay,
		Doc:     "the enable contact of the power stage has welded",
		Changes: "the contact never opens: only the direction contacts cut the drive",
		change:  onBay(func(c *model.Condition, _ Values) { c.Enable = model.ContactWelded }),
	},
	{
		Name: "open-enable-contact", Place: OnBay,
		Doc:     "the enable contact, or its coil, is burnt",
		Changes: "the contact never makes",
		change:  onBay(func(c *model.Condition, _ Values) { c.Enable = model.ContactOpen }),
	},
}

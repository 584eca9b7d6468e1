package part

// RadialPitch is the usual lead pitch of a standing round can of a diameter,
// both in mm; 0 for diameters that the tables lack. Source: makers' lead
// forming and taping tables, which agree.
func RadialPitch(diameter float64) float64 {
	switch diameter {
	case 4:
		return 1.5
	case 5:
		return 2
	case 6.3:
		return 2.5
	case 8:
		return 3.5
	case 10, 12.5:
		return 5
	case 16, 18:
		return 7.5
	case 20, 22:
		return 10
	case 25:
		return 12.5
	}
	return 0
}

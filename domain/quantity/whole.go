package quantity

// Ceil gives the least whole number n for which n × 10^exp in the quantity's
// unit is not below it, and false where n needs more than 18 digits or the
// quantity is absent. It serves rules that work in whole degrees or hundredths.
func (q Quantity) Ceil(exp int) (n int64, ok bool) {
	if q.unit == None {
		return 0, false
	}
	n = q.coef
	for d := int(q.exp) - exp; d != 0 && n != 0; {
		if d > 0 {
			if magnitude(n) >= pow10(maxDigits-1) {
				return 0, false
			}
			n *= 10
			d--
			continue
		}
		if d < -maxDigits {
			return int64(max(sign(n), 0)), true
		}
		p := int64(pow10(-d))
		up := n%p > 0
		n /= p
		if up {
			n++
		}
		break
	}
	return n, true
}

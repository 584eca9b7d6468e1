package part

// bodyRules are the rules for the outside of a part.
var bodyRules = [ruleCount]rule{
	mountDiffers:    {"mount-differs", stop, costStop, ofMount, "limit.equal-mount", "basis.lands-holes", "rule.mount-differs"},
	mountBent:       {"mount-differs", caution, costDoubt, ofMount, "limit.equal-mount-can", practice, "rule.mount-bent"},
	mountUnknown:    {"mount-unknown", note, costNote, ofMount, "limit.mount-part-known", practice, "rule.mount-unknown"},
	shapeDiffers:    {"shape-differs", caution, costFit, ofShape, "limit.equal-shape", practice, "rule.shape-differs"},
	chipDiffers:     {"chip-size", stop, costStop, ofSize, "limit.equal-chip-size", "basis.makers-chip-size", "rule.chip-differs"},
	chipUnknown:     {"chip-size-unknown", note, costNote, ofSize, "limit.chip-size-part", practice, "rule.chip-unknown"},
	thicker:         {"diameter-large", caution, costFit + costCaution, ofDiameter, "limit.not-above-originals", practice, "rule.thicker"},
	diameterUnknown: {"diameter-unknown", note, costNote, ofDiameter, "limit.diameter-part-known", practice, "rule.diameter-unknown"},
	canDiffers:      {"can-size", stop, costStop, ofDiameter, "limit.equal-diameter-surface", "basis.makers-surface-mount", "rule.can-differs"},
	canSmaller:      {"can-size", caution, costFit + costCaution, ofDiameter, "limit.equal-diameter-surface", "basis.makers-surface-mount", "rule.can-smaller"},
	longer:          {"length-large", caution, costFit, ofSize, "limit.not-longer-original", practice, "rule.longer"},
	wider:           {"width-large", caution, costFit, ofSize, "limit.not-wider-original", practice, "rule.wider"},
	pitchDiffers:    {"lead-pitch", stop, costStop, ofPitch, "limit.equal-pitch-2", "basis.lead-strain", "rule.pitch-differs"},
	pitchFormed:     {"lead-pitch", caution, costFit, ofPitch, "limit.up-1-mm", "basis.common-practice-pitches", "rule.pitch-formed"},
	pitchNear:       {"lead-pitch", note, costFit, ofPitch, "limit.up-0.25-mm", "basis.common-practice-pitches", "rule.pitch-near"},
	pitchGuessed:    {"lead-pitch-guessed", caution, costFit, ofPitch, "limit.pitch-part-known", "basis.pitches-diameter-from", "rule.pitch-guessed"},
	pitchUnknown:    {"lead-pitch-unknown", note, costNote, ofPitch, "limit.pitch-part-known", practice, "rule.pitch-unknown"},
	tooHigh:         {"height-above-limit", stop, costStop, ofHeadroom, "limit.headroom-place", "basis.room-above", "rule.too-high"},
	taller:          {"height-large", caution, costFit + costCaution, ofHeight, "limit.not-above-originals-known", "basis.common-practice-makers", "rule.taller"},
	ventTight:       {"vent-room", caution, costFit, ofHeadroom, "limit.half-2-mm", "basis.valve-room", "rule.vent-tight"},
	ventClose:       {"vent-room", note, costNote, ofHeadroom, "limit.2-mm-above", "basis.valve-room", "rule.vent-close"},
	heightUnknown:   {"height-unknown", caution, costCaution, ofHeadroom, "limit.height-part-known", practice, "rule.height-unknown"},
}

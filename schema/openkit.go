package schema

import "boardlore/domain/kit"

// OpenKit reads a kit out of a body, a document or a list, and what there is to
// say of the rows of a list. A refusal names every fault.
func OpenKit(body []byte, contentType string) (*kit.Kit, []kit.Problem, error) {
	o, err := kit.Open(body, contentType)
	if err != nil || o.Kit != nil {
		return o.Kit, o.Problems, err
	}
	k, fs := ReadKit(o.Document)
	if k == nil {
		return nil, nil, Refusal(fs)
	}
	return k, nil, nil
}

package sheet

// settable returns the document as its pages can set it.
func (d *document) settable() *document { return d }

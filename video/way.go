package video

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
)

// Way names how an engine of this program encodes: its name and a hash of the options that
// every format is written with. Clips that were written in one way can be joined, those of
// two ways cannot; what keeps pieces for later keeps them apart by it. It is fit for the
// name of a folder.
func Way(e Engine) string {
	x, ok := e.(*engine)
	if !ok {
		return e.Name()
	}
	h := sha256.New()
	for f := range formats {
		s := Spec{Rate: 25, Format: Format(f)}.withDefaults(x.machine.preset())
		fmt.Fprintf(h, "%q\n", s.encode(x.machine.threads()))
	}
	return e.Name() + "-" + hex.EncodeToString(h.Sum(nil)[:6])
}

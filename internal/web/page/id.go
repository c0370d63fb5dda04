package page

import (
	"crypto/sha256"
	"encoding/hex"

	"firnhand/programme"
)

// DerivedID makes an id from parts: the same parts give the same id. It has
// the form of a version 4 UUID.
func DerivedID(parts ...string) programme.ID {
	h := sha256.New()
	for _, p := range parts {
		n := len(p)
		h.Write([]byte{byte(n >> 16), byte(n >> 8), byte(n)})
		h.Write([]byte(p))
	}
	b := h.Sum(nil)[:16]
	b[6] = b[6]&0x0f | 0x40
	b[8] = b[8]&0x3f | 0x80
	x := hex.EncodeToString(b)
	return programme.ID(x[:8] + "-" + x[8:12] + "-" + x[12:16] + "-" + x[16:20] + "-" + x[20:])
}

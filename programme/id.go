package programme

import (
	"encoding/hex"
	"io"
	"time"
)

// ID names a fact, a student, a staff member or any other thing of the
// records. It is a UUID of version 7 or 4 (RFC 9562) in lower case, made where
// the thing is made, before it is sent anywhere.
type ID string

// NewID makes a version 7 UUID from a moment and 10 bytes of randomness
// (RFC 9562, section 5.7).
func NewID(now time.Time, random io.Reader) (ID, error) {
	var b [16]byte
	if _, err := io.ReadFull(random, b[6:]); err != nil {
		return "", Fail(CodeInternal, err, "No randomness was to be had for a new id.")
	}
	ms := uint64(now.UnixMilli())
	for i := 5; i >= 0; i-- {
		b[i] = byte(ms)
		ms >>= 8
	}
	b[6] = b[6]&0x0f | 0x70
	b[8] = b[8]&0x3f | 0x80
	h := hex.EncodeToString(b[:])
	return ID(h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:]), nil
}

// Check refuses an id that is not a lower-case UUID of version 7 or 4.
func (id ID) Check() error {
	ok := len(id) == 36
	for i := 0; ok && i < len(id); i++ {
		c := id[i]
		switch i {
		case 8, 13, 18, 23:
			ok = c == '-'
		case 14:
			ok = c == '7' || c == '4'
		case 19:
			ok = c == '8' || c == '9' || c == 'a' || c == 'b'
		default:
			ok = c >= '0' && c <= '9' || c >= 'a' && c <= 'f'
		}
	}
	if !ok {
		return Refuse(CodeInvalid, "%q is not an id: 36 characters of a version 7 or 4 UUID in lower case are needed.", clip(string(id)))
	}
	return nil
}

// clip shortens text that came from outside before it is quoted back.
func clip(s string) string {
	r := []rune(s)
	if len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

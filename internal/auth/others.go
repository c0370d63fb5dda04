package auth

import (
	"context"
	"time"

	"firnhand/programme"
)

// purposePhone is a code with which a person's own phone signs in.
const purposePhone = "phone"

// PhoneCode makes a code with which the phone of the person behind a token signs
// in once, within PhoneCodeLife. Their earlier such codes end.
func (d *Desk) PhoneCode(ctx context.Context, token string) (code string, ends time.Time, err error) {
	s, err := d.session(ctx, token)
	if err != nil {
		return "", time.Time{}, err
	}
	d.Log.Info("code for a phone made", "staff", s.Staff)
	return d.newCode(ctx, purposePhone, s.Staff, PhoneCodeLife)
}

// EnterPhone signs a phone in with such a code.
func (d *Desk) EnterPhone(ctx context.Context, code, device, from string) (Ticket, error) {
	counted := limits("\x00phone", from)
	if err := d.tries.take(d.Clock.Now(), counted); err != nil {
		return Ticket{}, err
	}
	c, err := d.findCode(ctx, purposePhone, code)
	if err != nil {
		return Ticket{}, err
	}
	if _, err := d.People.ActorOf(ctx, c.Staff); err != nil {
		if programme.CodeOf(err) == programme.CodeNotFound {
			err = errWrongCode
		}
		return Ticket{}, err
	}
	if err := d.Store.UseCode(ctx, c.ID, d.Clock.Now()); err != nil {
		if programme.CodeOf(err) == programme.CodeConflict {
			err = errWrongCode
		}
		return Ticket{}, err
	}
	d.tries.forgive(counted)
	return d.begin(ctx, c.Staff, device, phone)
}

// mayManage refuses who may not look at other people's sign-ins.
func mayManage(by programme.Actor) error {
	switch {
	case by.Staff == "":
		return errSignedOut
	case !by.May(programme.ManageStaff):
		return programme.Refuse(programme.CodeNotAllowed, "Only the lead may see and end other people's sign-ins.")
	}
	return nil
}

// DevicesOf lists a person's sign-ins for those who manage staff.
func (d *Desk) DevicesOf(ctx context.Context, by programme.Actor, staff programme.ID) ([]Device, error) {
	if err := mayManage(by); err != nil {
		return nil, err
	}
	return d.devices(ctx, staff, "")
}

// EndDevices ends a person's sign-ins, one or with an empty id all, for those
// who manage staff: a phone was lost. CodeNotFound for one that is not there.
func (d *Desk) EndDevices(ctx context.Context, by programme.Actor, staff, id programme.ID) error {
	if err := mayManage(by); err != nil {
		return err
	}
	if id == "" {
		d.Log.Info("sign-ins ended", "staff", staff, "by", by.Staff)
		return d.Store.DeleteSessionsOf(ctx, staff, "")
	}
	all, err := d.devices(ctx, staff, "")
	if err != nil {
		return err
	}
	for _, o := range all {
		if o.ID == id {
			d.Log.Info("sign-in ended", "staff", staff, "session", id, "by", by.Staff)
			return d.Store.DeleteSession(ctx, id)
		}
	}
	return programme.Refuse(programme.CodeNotFound, "There is no such sign-in.")
}

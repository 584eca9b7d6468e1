package client

import (
	"context"
	"net/http"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/review"
)

// Account tells whose token is used, and what it may.
func (c *Client) Account(ctx context.Context) (Answer[Account], error) {
	return own[Account](ctx, c, pathOf("account"), nil)
}

// Tokens lists the account's own tokens, newest first.
func (c *Client) Tokens(ctx context.Context) (Answer[TokenList], error) {
	return own[TokenList](ctx, c, pathOf("account", "tokens"), nil)
}

// NewToken says what a token is to be for.
type NewToken struct {
	Name  string `json:"name"`
	Scope string `json:"scope,omitzero"` // read, contribute, review or all
	Days  int    `json:"days,omitzero"`  // that it lasts; 0 for without end
}

// MakeToken makes a token, which is told here and never again.
func (c *Client) MakeToken(ctx context.Context, t NewToken) (TokenMade, error) {
	return transmit[TokenMade](ctx, c, http.MethodPost, pathOf("account", "tokens"), t, how{})
}

// EndToken revokes a token.
func (c *Client) EndToken(ctx context.Context, id int64) error {
	return drop(ctx, c, pathOf("account", "tokens", id))
}

// Sessions lists the browsers in which the account is signed in.
func (c *Client) Sessions(ctx context.Context) (Answer[SessionList], error) {
	return own[SessionList](ctx, c, pathOf("account", "sessions"), nil)
}

// EndSession signs a browser out.
func (c *Client) EndSession(ctx context.Context, id int64) error {
	return drop(ctx, c, pathOf("account", "sessions", id))
}

// SignUp tells who may join, and under which terms.
func (c *Client) SignUp(ctx context.Context) (Answer[SignUp], error) {
	return fetch[SignUp](ctx, c, pathOf("join"), nil)
}

// Joining is who wants to join.
type Joining struct {
	Invitation  string `json:"invitation,omitzero"` // the secret of the link; "" where anyone may join
	Name        string `json:"name"`
	AcceptTerms bool   `json:"accept_terms"`
}

// Join makes an account.
func (c *Client) Join(ctx context.Context, j Joining) (Joined, error) {
	return transmit[Joined](ctx, c, http.MethodPost, pathOf("join"), j, how{})
}

// Drafts lists one's own unfinished maps, newest first.
func (c *Client) Drafts(ctx context.Context) (Answer[DraftList], error) {
	return own[DraftList](ctx, c, pathOf("drafts"), nil)
}

// Draft is one draft as it was saved; 0 for its newest version.
func (c *Client) Draft(ctx context.Context, id string, version int) (Answer[jsontext.Value], error) {
	return own[jsontext.Value](ctx, c, pathOf("drafts", id), versionOf{version})
}

// SaveDraft saves a draft, any JSON object. tag names the version that is
// followed; "" for a new draft.
func (c *Client) SaveDraft(ctx context.Context, id, tag string, document jsontext.Value) (Draft, error) {
	return transmit[Draft](ctx, c, http.MethodPut, pathOf("drafts", id), []byte(document),
		how{match: tag, fresh: tag == ""})
}

// DeleteDraft deletes a draft with its versions and its link.
func (c *Client) DeleteDraft(ctx context.Context, id string) error {
	return drop(ctx, c, pathOf("drafts", id))
}

// DraftVersions lists the versions of a draft that are kept, newest first.
func (c *Client) DraftVersions(ctx context.Context, id string) (Answer[DraftList], error) {
	return own[DraftList](ctx, c, pathOf("drafts", id, "versions"), nil)
}

// ShareDraft makes a link by which anyone reads the draft; an earlier one ends.
func (c *Client) ShareDraft(ctx context.Context, id string) (DraftLink, error) {
	return transmit[DraftLink](ctx, c, http.MethodPost, pathOf("drafts", id, "link"), nil, how{})
}

// UnshareDraft ends the link to a draft.
func (c *Client) UnshareDraft(ctx context.Context, id string) error {
	return drop(ctx, c, pathOf("drafts", id, "link"))
}

// SharedDraft is the draft that a link leads to.
func (c *Client) SharedDraft(ctx context.Context, link string) (Answer[jsontext.Value], error) {
	return own[jsontext.Value](ctx, c, pathOf("shared-draft"), struct {
		Link string `url:"link"`
	}{link})
}

// KeepPhotograph keeps a photograph, of type image/jpeg, image/png or
// image/webp; the same one twice is one.
func (c *Client) KeepPhotograph(ctx context.Context, media string, data []byte) (KeptPhotograph, error) {
	return transmit[KeptPhotograph](ctx, c, http.MethodPost, pathOf("photographs"), data, how{media: media, again: true})
}

// ActFilter says which acts are wanted.
type ActFilter struct {
	Order string `url:"order,omitempty"` // oldest or newest, which is first
	Page
}

// Acts lists what stewards and the command line did, newest first.
func (c *Client) Acts(ctx context.Context, f ActFilter) (Answer[ActList], error) {
	return own[ActList](ctx, c, pathOf("acts"), f)
}

// Accounts lists the accounts, by name.
func (c *Client) Accounts(ctx context.Context) (Answer[AccountList], error) {
	return own[AccountList](ctx, c, pathOf("accounts"), nil)
}

// DisableAccount ends an account's access.
func (c *Client) DisableAccount(ctx context.Context, id int64, why string) (AccountAct, error) {
	return c.stewardAct(ctx, pathOf("accounts", id, "disable"), why)
}

// EnableAccount undoes DisableAccount.
func (c *Client) EnableAccount(ctx context.Context, id int64, why string) (AccountAct, error) {
	return c.stewardAct(ctx, pathOf("accounts", id, "enable"), why)
}

// EraseAccount takes a person's name out, for ever.
func (c *Client) EraseAccount(ctx context.Context, id int64, why string) (AccountAct, error) {
	return c.stewardAct(ctx, pathOf("accounts", id, "erasure"), why)
}

// EraseReason empties the reason of an act.
func (c *Client) EraseReason(ctx context.Context, event int64, why string) (AccountAct, error) {
	return c.stewardAct(ctx, pathOf("acts", event, "erasure"), why)
}

// ErasePhotograph drops the bytes of a photograph, as the law demands.
func (c *Client) ErasePhotograph(ctx context.Context, sha256, why string) (AccountAct, error) {
	return c.stewardAct(ctx, pathOf("photographs", sha256, "erasure"), why)
}

func (c *Client) stewardAct(ctx context.Context, path, why string) (AccountAct, error) {
	return transmit[AccountAct](ctx, c, http.MethodPost, path, reason{why}, how{})
}

// SetRole gives an account another role.
func (c *Client) SetRole(ctx context.Context, id int64, role review.Role, why string) (AccountAct, error) {
	in := struct {
		Role   review.Role `json:"role"`
		Reason string      `json:"reason,omitzero"`
	}{role, why}
	return transmit[AccountAct](ctx, c, http.MethodPost, pathOf("accounts", id, "role"), in, how{again: true})
}

// SignInLink makes a link by which an account signs in once.
func (c *Client) SignInLink(ctx context.Context, id int64, why string) (InvitationMade, error) {
	return transmit[InvitationMade](ctx, c, http.MethodPost, pathOf("accounts", id, "sign-in-link"), reason{why}, how{})
}

// Invitations lists the links that still work, newest first.
func (c *Client) Invitations(ctx context.Context) (Answer[InvitationList], error) {
	return own[InvitationList](ctx, c, pathOf("invitations"), nil)
}

// NewInvitation says whom a link is for; what is zero has the registry's default.
type NewInvitation struct {
	Role   review.Role `json:"role,omitzero"` // review.Contributor or review.Reviewer
	Uses   int         `json:"uses,omitzero"`
	Days   int         `json:"days,omitzero"`
	Reason string      `json:"reason,omitzero"`
}

// Invite makes a link by which people join.
func (c *Client) Invite(ctx context.Context, n NewInvitation) (InvitationMade, error) {
	return transmit[InvitationMade](ctx, c, http.MethodPost, pathOf("invitations"), n, how{})
}

// EndInvitation makes a link work no more.
func (c *Client) EndInvitation(ctx context.Context, id int64) error {
	return drop(ctx, c, pathOf("invitations", id))
}

// SetSignUp chooses whether people join without an invitation.
func (c *Client) SetSignUp(ctx context.Context, open bool, why string) (AccountAct, error) {
	in := struct {
		Open   bool   `json:"open"`
		Reason string `json:"reason,omitzero"`
	}{open, why}
	return transmit[AccountAct](ctx, c, http.MethodPut, pathOf("join"), in, how{again: true})
}

// WithdrawRevision takes a revision out of use.
func (c *Client) WithdrawRevision(ctx context.Context, id string, revision int, w Withdrawing) (WithdrawalReceipt,
	error) {
	return transmit[WithdrawalReceipt](ctx, c, http.MethodPost, pathOf("boards", id, "revisions", revision, "withdrawal"),
		w,
		how{keyed: true})
}

// WithdrawPhotograph takes a photograph out of use.
func (c *Client) WithdrawPhotograph(ctx context.Context, sha256 string, w Withdrawing) (WithdrawalReceipt, error) {
	return transmit[WithdrawalReceipt](ctx, c, http.MethodPost, pathOf("photographs", sha256, "withdrawal"), w,
		how{keyed: true})
}

// MoveBoard gives a board another ID, or makes it one with the board of that ID.
func (c *Client) MoveBoard(ctx context.Context, id, to, why string) (Moved, error) {
	in := struct {
		To     string `json:"to"`
		Reason string `json:"reason,omitzero"`
	}{to, why}
	return transmit[Moved](ctx, c, http.MethodPost, pathOf("boards", id, "move"), in, how{keyed: true})
}

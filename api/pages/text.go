package pages

import "fmt"

// t is the sentence of a key, with its blanks filled in. A key that has none
// shows itself, which the tests refuse.
func t(key string, blanks ...any) string {
	s, ok := english[key]
	if !ok {
		return "[" + key + "]"
	}
	if len(blanks) == 0 {
		return s
	}
	return fmt.Sprintf(s, blanks...)
}

// english holds every sentence of the pages. Another language is another map
// with the same keys.
var english = map[string]string{
	"lang": "en", "site": "boardlore", "skip": "Skip to the content", "nav": "Main", "yes": "yes", "no": "no", "more": "More",
	"nav.home": "Find a board", "nav.contribute": "Contribute", "nav.desk": "Desk", "nav.signin": "Sign in", "nav.signout": "Sign out %s",
	"foot.law":  "Maps are made by people who serviced these boards and may be wrong: check polarity and value against the part in your hand. Work on mains-side parts follows local codes and licensed practice.",
	"foot.json": "This page as JSON", "foot.api": "The API",

	"error.board": "No board with the ID %q is known here.", "error.back": "Back to the page",
	"next.other":   "This is a fault of the server, not yours. Try again in a moment; if it stays, give the number below to whoever runs the server.",
	"next.missing": "The address may have a typing error in it, or what it named may have another name now. Search for the board, contribute its map, or look at the desk for proposals.",
	"withdrawn.as": "withdrawn as %s on %s.", "withdrawn.dangerous": "dangerous", "withdrawn.illegal": "unlawful", "withdrawn.mistaken": "mistaken",
	"next.withdrawn": "Do not work by a copy of it, on paper or on a screen: throw copies away.",
	"next.signin":    "Sign in with your token, then do it again. Reading needs no account.",
	"next.forbidden": "Nothing was done. If the form was open for long, load its page again and send it once more; if your account may not do this, ask a steward.",
	"next.changed":   "Somebody acted meanwhile, and nothing of yours was done. Look at how it stands now, and decide anew.",
	"next.later":     "Too much was asked in a short time from here. Come back in %s seconds.",
	"next.correct":   "Nothing was done. Go back with your browser: what you typed is still there; correct it and send it again.",
	"error.request":  "Request %s",
	"form.foreign":   "This form came from another site and was not read.", "form.unreadable": "The form could not be read. It may be larger than 24 MB.",
	"form.expired": "This form belongs to another visit, so nothing was done. Go back, load the page again and send it once more.",

	"signin.title": "Sign in", "signin.why": "Reading needs no account. Sign in to propose corrections or to review them.",
	"signin.token": "Your token", "signin.refused": "Nobody has this token, or its account is disabled. Ask a steward for a new one.",
	"signin.how": "The browser stays signed in for thirty days, or until you sign out; your token is not kept in it. Lost everything? A steward can make a link by which you sign in once.",
	"signin.as":  "Sign in as %s", "nav.account": "Account",

	"join.title": "Join", "join.open": "People join without an invitation.", "join.by": "You are invited to join as a %s.", "join.closed": "People join by invitation: ask a steward for a link.",
	"join.name": "Your name, as others will see it", "join.terms": "Terms and licence of contributions", "join.accept": "I accept this.", "join.go": "Join",
	"join.after": "You are signed in at once, for thirty days. To sign in again, or with tools, make a token on the page of your account and keep it in a safe place.",

	"account.title": "Your account", "account.who": "You are %s, a %s.", "account.signin": "Sign in to see your account.", "account.accept": "Accept",
	"account.made": "Your new token; copy it now, it is not shown again:", "account.sessions": "Signed in here", "account.browser": "A browser", "account.this": "this one",
	"account.seen": "last seen %s, until %s", "account.end": "End", "account.end.one": "End number %d", "account.tokens": "Tokens",
	"account.tokens.why": "Tools sign in with tokens, as Authorization: Bearer TOKEN. Give each tool one of its own, with no more than it needs.", "account.unnamed": "without a name",
	"account.since": "since %s", "account.since.head": "Since", "account.until": "until %s", "account.revoke": "Revoke", "account.revoke.one": "Revoke token %d", "account.name": "Name of the tool",
	"account.scope": "It may", "account.days": "For how many days", "account.make": "Make a token",
	"scope.read": "read", "scope.contribute": "contribute", "scope.review": "contribute and review", "scope.all": "do all that you may",

	"passkey.title": "Passkeys", "passkey.why": "A passkey signs you in with this device, by its finger, face or PIN; nothing that could be stolen lies on the server.",
	"passkey.made": "Made on %s", "passkey.used": "last used %s", "passkey.forget": "Remove", "passkey.make": "Make a passkey", "passkey.use": "Sign in with a passkey", "passkey.go": "Ask this device",
	"passkey.plain":  "This address is not by https, and browsers give passkeys to https alone: sign in with a token, or by a link that a steward makes for you.",
	"passkey.failed": "The device or the browser made no passkey. Try again, or sign in with a token.", "passkey.refused": "This passkey was not accepted. Begin again, or sign in with a token.",

	"stewards.title": "For stewards", "stewards.only": "This page is for stewards.", "stewards.withdraw": "Withdraw", "stewards.withdraw.go": "Withdraw",
	"stewards.withdraw.why": "What is withdrawn is out of use at once, and whoever asks for it is told the reason. Nothing is deleted, and it is not undone: a corrected map is a new proposal.",
	"stewards.kind":         "As", "stewards.reason": "Reason", "stewards.reason.shown": "Reason, as readers see it", "stewards.photograph": "Photograph (its SHA-256)",
	"stewards.move": "Move a board", "stewards.move.why": "The old ID leads to the new one for ever. Where the new ID is that of a board, the two are one from then on.", "stewards.to": "New ID", "stewards.move.go": "Move",
	"stewards.accounts": "Accounts", "stewards.table": "Accounts, scrolls", "stewards.name": "Name", "stewards.role": "Role", "stewards.act": "Act", "stewards.disabled": "disabled", "stewards.enable": "Enable", "stewards.disable": "Disable",
	"stewards.signin": "Link to sign in", "stewards.joining": "Joining", "stewards.open": "Let people join without an invitation", "stewards.close": "Let people join by invitation only",
	"stewards.uses": "Uses", "stewards.invite": "Make an invitation", "stewards.invitation": "Invitation %d: %s, %d uses left", "stewards.link.of": "Link by which %s signs in once",
	"stewards.link": "Give this link away; it is not shown again:", "stewards.acts": "Acts", "stewards.because": "Reason: %s", "stewards.operator": "the operator",

	"home.title": "Find a board", "home.query": "Equipment or board", "home.marking": "Printed on the board", "home.marking.help": "The whole number; capitals, spaces and hyphens do not matter.",
	"home.look": "By what it looks like", "home.maker": "Maker", "home.kind": "Kind of equipment", "home.kind.help": "For example: location recorder.",
	"home.width": "Width, mm", "home.height": "Height, mm", "home.replaced": "Parts to replace, about", "home.any": "any", "home.sides": "Parts sit on", "home.sides.one": "one side", "home.sides.both": "both sides",
	"home.class": "There is on it a", "home.printed": "Printed on a part", "home.printed.help": "Part of the number of an integrated circuit, for example.", "home.find": "Find",
	"home.drawing": "Drawing of %s", "home.found": "%d found", "home.all": "All boards", "home.empty": "This registry is new: no board has been released yet.",
	"home.begin.one":   "Sign in with the token that a steward gave you; whoever runs the server makes accounts with: boardlore account add NAME --role contributor.",
	"home.begin.two":   "Contribute the map of a board that you have serviced: upload a map or a placement list, or type positions into the table.",
	"home.begin.three": "A reviewer looks at it on the desk and releases it. Then it is found here.", "home.look.first": "To look around first, start an invented registry elsewhere with: boardlore demo.",
	"home.none": "No board like this is known here.", "home.add": "Contribute its map.",
	"home.counts": "%d positions, %d to replace", "home.open": "%d open proposals",

	"minus.right": "Minus to the right, as drawn", "minus.left": "Minus to the left, as drawn", "minus.up": "Minus upwards, as drawn",
	"minus.down": "Minus downwards, as drawn", "minus.upper-right": "Minus to the upper right, as drawn", "minus.upper-left": "Minus to the upper left, as drawn",
	"minus.lower-left": "Minus to the lower left, as drawn", "minus.lower-right": "Minus to the lower right, as drawn",
	"minus.unknown": "Polarity not recorded: mark it before taking the part out",
	"stops":         "What must not be overlooked", "stops.stop": "Stop", "stops.caution": "Caution", "stops.first": "Unplug and discharge first.", "stops.all": "All %d cautions",
	"stops.bars": "Do not power up before %s is dealt with.", "stops.mains": "Mains is on this board: unplug, don't only switch off, and measure.",
	"stops.charged-cell": "The circuit charges the cell: never fit a primary cell.", "stops.stored-charge": "A dangerous charge may stay: discharge, and measure before touching.",
	"go": "Go", "go.label": "Designator", "go.lost": "This board has no position %s: look in the list, or at the other builds.",
	"like.show": "Show each: %s", "position.same": "Fit the same.", "when.any": "At all times:",

	"block.board": "Board", "block.equipment": "Equipment", "block.markings": "Markings", "block.revision": "Revision", "block.size": "Size", "block.digest": "Digest",
	"board.markings": "Marked", "board.revision": "Revision %d", "board.bars": "Do not power up before reading", "board.old": "This is revision %d; the current one is %d.",
	"board.current": "Show the current one.", "board.acts": "What to do with this board", "board.kit": "Check a kit", "board.sheet": "Board sheet (PDF)",
	"board.correct": "Correct this map", "board.differences": "What changed", "board.open": "Waiting for review:",
	"revision.malformed": "A revision is a number from 1 up.",

	"cautions.title": "Cautions", "when.before-opening": "Before opening:", "when.before-power-up": "Before power-up:", "when.while-working": "While working:", "when.after": "Afterwards:",
	"variants.title": "Builds of this board", "variants.base": "Base map", "variants.by": "Told by:",
	"failure.title": "Known failures", "failure.bars": "Do not power up", "failure.positions": "Positions", "failure.symptoms": "Symptoms",
	"failure.consequence": "Consequence", "failure.remedy": "Remedy", "severity.minor": "minor", "severity.major": "major", "severity.hazard": "hazard",

	"drawing.title": "Drawing", "drawing.side": "Side", "drawing.zoom": "Zoom", "drawing.pick": "Choose a position in the drawing or in the list.", "drawing.pane": "Drawing, scrolls",
	"side.top": "Top side", "side.bottom": "Bottom side", "zone": "zone %s",
	"positions.title": "Positions", "positions.filter": "Show by service", "positions.all": "All %d", "positions.caption": "%d positions in working order. Choose one to mark it on the drawing.",
	"positions.drawing": "To the drawing", "col.designator": "Position", "col.part": "Part", "col.service": "Service",
	"service.replace": "replace", "service.inspect": "inspect", "service.leave": "leave",
	"thumb": "Jump to", "thumb.top": "Top",

	"position.fit": "Fit instead:", "position.glued": "glued", "position.all": "All about %s", "position.unknown": "This board has never had a position %s. Look at its list of positions.",
	"position.gone": "The map has no such position (any more); revision %d is current.", "position.facts": "What is known", "position.original": "Original part",
	"position.place": "Place", "position.at": "x %s mm, y %s mm, turned %s°", "position.negative": "Negative lead", "position.negative.help": "counter-clockwise from the right, seen from the top side",
	"position.negative.none": "not recorded or none", "position.body": "Body", "position.function": "Function", "position.rail": "Rail", "position.working": "Working voltage",
	"position.glue": "Glued", "position.heat": "Heat-sensitive", "position.hot": "Place gets hot", "position.circuit": "Circuit",
	"circuit.across-mains": "across the mains conductors", "circuit.mains-to-earth": "from mains to earth or touchable metal",
	"circuit.across-isolation": "across the isolation", "circuit.primary": "on the mains side", "circuit.secondary": "behind the isolation",
	"part.breaking_capacity": "Breaking capacity", "part.supply": "Supply", "part.load_capacitance": "Load capacitance", "part.windings": "Windings",
	"part.construction": "Construction", "position.notes": "Notes", "position.where": "Where it sits",
	"part.temperature_max": "Highest temperature", "part.endurance": "Endurance", "part.esr_max": "ESR at most", "part.ripple": "Ripple current", "part.dielectric": "Dielectric",
	"part.fuse_speed": "Fuse speed", "part.rechargeable": "Rechargeable", "part.polarised": "Polarised",
	"body.long": "long", "body.wide": "wide", "body.high": "high", "body.room": "headroom", "body.pitch": "lead pitch",

	"check.title": "Checks", "check.before": "Before power-up", "check.after": "After power-up", "check.done": "Done", "check.what": "Check", "check.between": "Measure",
	"check.expect": "Right is", "check.from": "from", "check.to": "to",
	"measure.resistance": "resistance", "measure.voltage": "voltage", "measure.current": "current", "measure.continuity": "continuity",

	"history.title": "History", "history.by": "proposed by %s, released by %s.", "history.proposal": "Proposal %d", "history.none": "Nothing is recorded.",
	"evidence.photo": "Photograph given as evidence",

	"finding.stop": "stop", "finding.caution": "caution", "finding.note": "note", "finding.expected": "Expected:", "finding.found": "Found:", "finding.basis": "Basis:",
	"change.hazard": "hazard", "change.change": "change", "change.editorial": "editorial",

	"difference.title": "From revision %d to %d", "difference.from": "From revision", "difference.to": "To revision", "difference.show": "Show",
	"difference.hazard": "Hazardous changes: %d", "difference.rest": "Other changes: %d", "difference.none": "Nothing differs.", "difference.text": "The changes as plain text",
	"overlay.title": "On the drawing", "overlay.top": "Top side, scrolls", "overlay.bottom": "Bottom side, scrolls",

	"proposal.hazards": "Hazardous: what people were told, and would be told (%d)", "proposal.claims": "What it says (%d)",
	"proposal.claims.why": "Each line is all that the map says of the positions named at its end; like ones stand together. Tick what you have looked at: it becomes part of your review.",
	"proposal.failures":   "Failure points", "proposal.checks": "Checks", "difference.moved": "%d moved by %s mm: %s.",
	"review.seen": "What I ticked I saw on", "seen.board": "a board of mine", "seen.photograph": "a photograph", "seen.document": "a document",
	"review.seen.count": "It rests on %d positions that were looked at.", "review.aside": "%s set this objection aside: %s",
	"draft.base": "Which revision was this made from?", "draft.base.label": "Made from",
	"draft.base.why": "This board is known here. What others corrected after that revision is kept; made from the wrong one, this would take it back.",
	"desk.title":     "Desk", "desk.order": "Open proposals: hazardous ones first, then the oldest.", "desk.by": "%s, %s", "desk.base": "on revision %d", "desk.new": "new board",
	"desk.endorsed": "%d of %d endorsements", "desk.hazard": "hazardous", "desk.ready": "ready for release", "desk.conflicts": "%d conflicts", "desk.own": "yours", "desk.newcomer": "new contributor",
	"desk.truncated": "There are more open proposals than are shown.", "desk.empty": "No proposal is open.", "desk.closed": "Closed lately",
	"state.submitted": "submitted", "state.returned": "returned", "state.released": "released", "state.declined": "declined", "state.withdrawn": "withdrawn",

	"proposal.title": "Proposal %d", "proposal.unknown": "A proposal's number is in its address.", "proposal.state": "State", "proposal.closed": "by %s", "proposal.author": "Author",
	"proposal.base": "Made from", "proposal.version": "Version", "proposal.ready": "It can be released.", "proposal.needs": "Before a release:",
	"proposal.lapsed": "The map was amended since %s endorsed it.", "proposal.conflicts": "Conflicts with the current revision", "proposal.drawing": "Drawing",
	"proposal.findings": "What the checks say", "proposal.evidence": "Evidence", "proposal.reviews": "Reviews", "proposal.amend": "Amend it", "proposal.decide": "Decide",
	"checklist.title": "Checklist", "checklist.evidenced": "Evidence names %d of %d changed positions.", "checklist.kits": "Of the kits kept for this board, %d would fit worse and %d better.",
	"checklist.positions": "Changed positions", "checklist.evidence": "Evidence", "checklist.look": "Look at", "checklist.bare": "none", "checklist.unusual": "%s is in no preferred series.",
	"checklist.elsewhere": "Other positions of the same function hold another value: %s.", "checklist.kits.title": "Kits", "checklist.kit": "Kit", "checklist.before": "Now", "checklist.after": "After a release",
	"checklist.fills": "fills %d of %d",
	"conflict.by":     "Released by %s.",
	"done.submitted":  "The proposal was submitted.", "done.amended": "The amended map was kept.", "done.reviewed": "Your review was kept.", "done.released": "The proposal was released.",
	"done.declined": "The proposal was declined.", "done.withdrawn": "The proposal was withdrawn.",

	"review.title": "Your review", "review.verdict": "Verdict", "review.summary": "In short", "review.remarks": "Remarks on positions", "review.remark": "Remark", "review.give": "Give the review",
	"review.version": "on version %d", "review.lapsed": "lapsed", "review.replaced": "replaced by a later one", "review.none": "Nobody has reviewed it yet.",
	"review.signin": "Sign in to review it.", "review.own": "This is your proposal: somebody else reviews it.",
	"verdict.endorse": "endorse", "verdict.query": "query", "verdict.object": "object", "verdict.endorse.help": "The map is right as far as you can tell.",
	"verdict.query.help": "Something has to be answered first; the author gets it back.", "verdict.object.help": "It must not be released like this.",
	"decide.release": "Release", "decide.decline": "Decline", "decide.withdraw": "Withdraw", "decide.release.reason": "Note (may be empty)", "decide.decline.reason": "Why it is declined", "decide.withdraw.reason": "Why it is withdrawn",

	"kit.title": "Check a kit", "kit.why": "Before anything is desoldered: does this kit suit this board?", "kit.form": "Your list", "kit.again": "Check another list",
	"kit.list": "Paste the list of parts", "kit.list.help": "One line a part, such as: 4 x 47uF 25V for C1, C3-C5. Tables with headings (CSV, tabs, semicolons) and kit documents are read too.",
	"kit.file": "Or upload it", "kit.variant": "Build of the board", "kit.scope": "Positions", "kit.scope.help": "Designators, such as C1-C5, R7.", "kit.scope.service": "those to replace", "kit.scope.all": "all", "kit.scope.these": "these:",
	"kit.check": "Check it", "kit.empty": "Paste a list, or choose a file.", "file.large": "The file is larger than %d MB.",
	"outcome.complete": "The kit is complete", "outcome.to-check": "Not yet complete: check what is named below first", "outcome.short": "The kit is short", "outcome.conflict": "Do not fit this kit as it is labelled",
	"kit.summary": "%d of %d positions filled, %d not; %d flagged; %d parts left over.", "kit.against": "Checked against revision %d, %s, digest %s.",
	"kit.pdf": "Report (PDF)", "kit.problems": "Lines that could not be read: %d", "kit.line": "Line %d", "kit.flags": "Look at these first", "kit.moves": "What the whole kit would allow",
	"kit.better": "It fits another build better", "kit.look": "Positions to look at: %d", "kit.fine": "Positions that suit: %d", "kit.buy": "To buy", "kit.quantity": "Quantity", "kit.for": "For",
	"kit.lines": "Lines of the kit", "kit.col.line": "Line", "kit.read": "Read as", "kit.used": "Used", "kit.surplus": "Left over", "kit.notread": "not read", "kit.wanted": "Wanted", "kit.fit": "Fit",
	"kit.unsure": "not sure",
	"shop.title": "Parts list", "shop.why": "What to buy for this board, without any kit: what each part has to be, what may stand in for it, and what must not.",
	"shop.csv": "As a table (CSV)", "shop.may": "May stand in", "shop.not": "Must not", "shop.spares": "and %d spare", "shop.show": "Show",
	"fit.match": "match", "fit.suitable": "suitable", "fit.doubtful": "doubtful", "fit.unsuitable": "unsuitable", "fit.none": "none",

	"contribute.title": "Contribute", "contribute.why": "Propose a map of a board that you have serviced, or a correction of one that is known. A reviewer looks at it before it is released.",
	"contribute.signin": "Sign in first, so that you can submit it.", "contribute.row": "Row %d", "contribute.nofile": "Choose a file first.",
	"contribute.notjson": "This is not a JSON document, so it can't be a map.", "contribute.noplacements": "No position could be read from this list.",
	"contribute.board": "Correct a known board", "contribute.board.id": "ID of the board", "contribute.board.help": "It stands in the address of the board's page. Or start from that page.",
	"contribute.board.go": "Edit its map", "contribute.map": "Upload a map", "contribute.map.file": "Map document (JSON)", "contribute.map.go": "Check it",
	"contribute.placements": "Start from a placement list", "contribute.placements.why": "Most tools that lay out boards can write a list of where each part sits.",
	"contribute.placements.file": "Placement list", "contribute.parts.file": "Parts list (may be left out)", "contribute.placements.go": "Make a draft",
	"contribute.options": "What the list leaves open", "contribute.unit": "Unit", "contribute.decimal": "Decimal sign", "contribute.bottom": "Bottom side", "contribute.auto": "as the list says",
	"contribute.photo.text": "Photograph.",

	"draft.title": "Edit a map", "draft.signin": "Sign in here to submit it; what is on this page stays.", "draft.signin.go": "Sign in and go on", "draft.problems": "Rows that were not used: %d", "draft.questions": "Please confirm",
	"draft.nodrawing": "There is nothing to draw yet.", "draft.stops": "To put right before it can be submitted: %d", "draft.sound": "Nothing stands against submitting it",
	"draft.goto": "on page %d of the table", "draft.changes": "Changes against revision %d", "draft.head": "Board", "draft.page": "Page %d of %d", "draft.remove": "Remove", "draft.rowname": "row %d",
	"draft.check": "Check and draw again", "draft.add": "Add a position", "draft.previous": "Previous page", "draft.next": "Next page",
	"draft.submit": "Submit", "draft.past": "Past the table, to submitting", "draft.submit.go": "Submit for review", "draft.amend": "Amend proposal %d", "draft.amend.go": "Keep the amended map",
	"draft.summary": "What it changes, and why", "draft.evidence": "Evidence", "draft.evidence.help": "One item a line: what you measured, read or saw. A photograph may be added.", "draft.photo": "Photograph (JPEG, PNG, WebP)",
	"draft.board": "Board ID", "draft.board.help": "Small letters, digits and hyphens, such as tarn-mx12-main.", "draft.name": "Name of the board", "draft.equipment.maker": "Maker", "draft.equipment.model": "Model",
	"draft.equipment.kind": "Kind of equipment", "draft.markings": "Markings, by commas", "draft.licence": "Licence", "draft.frame.width_mm": "Width, mm", "draft.frame.height_mm": "Height, mm",
	"draft.frame.basis": "Coordinates from", "draft.frame.uncertainty_mm": "Uncertainty, mm",
	"draft.col.designator": "Designator", "draft.col.side": "Side", "draft.col.x_mm": "x, mm", "draft.col.y_mm": "y, mm", "draft.col.rotation_deg": "Rotation, °", "draft.col.part.class": "Class",
	"draft.col.part.construction": "Construction", "draft.col.part.value": "Value", "draft.col.part.voltage": "Voltage", "draft.col.negative_deg": "Negative lead, °", "draft.col.service": "Service", "draft.col.notes": "Notes",

	"board.job": "Work on a unit", "board.seen": "What %d serviced units showed", "board.seen.one": "What one serviced unit showed", "position.seen": "Serviced units",
	"job.title": "On the bench", "job.old": "This page is a copy from a while ago; load it anew before you work by it. Its age:", "job.away": "You were away: measure again before touching anything.",
	"job.unkept": "This browser keeps nothing, or has no room left: what you tick is lost when the page closes. Take the job away as a file.", "job.offline": "No network. Everything is kept on this device.",
	"job.filed": "This job is filed as a record.", "job.filed.see": "Record %d", "job.paper": "Without scripts, work from the job sheet on paper: it has the same order, with boxes and fields.",
	"job.sheet": "Job sheet (PDF)", "job.all": "All positions", "job.pick": "Jobs on this device", "job.unit": "Your mark of the unit", "job.unit.help": "Shown to nobody else.", "job.day": "Day", "job.new": "Another unit",
	"job.next": "What to look at next", "job.symptoms": "Symptoms", "job.symptoms.help": "Several with semicolons between them.", "job.look": "Look", "job.look.none": "Nothing is known of this. Note it all the same: the next person learns from it.",
	"job.look.apart": "From the map alone, since there is no network.", "job.known": "Known failures", "job.safe": "Make safe", "job.plug": "Plug is out, cells are out, it has stood a minute",
	"job.measure": "Measure across %s", "job.rated": "(rated; the map gives no working voltage)", "job.now": "Now:", "job.safe.none": "The map knows no charge that matters here. Measure all the same.",
	"job.before": "Check before the work", "job.right": "Right is", "job.reading": "Reading:", "job.out": "Take out", "job.free": "%d° free", "job.minus": "minus this way, seen from this side", "job.how": "How",
	"job.avoid": "Not:", "job.nothing": "The map says to replace nothing on this build. Choose all positions to note what you find.", "job.fit": "Fit", "job.fit.order": "What left first comes back last.",
	"job.bars": "bars power-up", "job.power": "Power up", "job.barred": "Not before these are new:", "job.after": "After power-up", "job.unknown": "What the map does not say", "job.end": "Finish",
	"job.outcome": "The unit is", "job.notes": "Notes", "job.private": "A record tells everybody what you found, measured and fitted; your mark of the unit stays yours.", "job.left": "Not in the record, since nothing is chosen as found:",
	"job.record": "Make a record", "job.signin": "Sign in to make a record", "job.export": "Take it away as a file", "job.import": "Load a file", "job.unread": "This file is no job of this board.",
	"job.drop": "Throw away", "job.drop.ask": "Throw this job away? It is kept nowhere else unless it was filed or taken away.", "job.here": "Where you are", "job.onward": "Next", "job.tick": "Done",
	"job.found": "What was found?", "job.cautions": "%d more cautions", "job.done": "Done", "job.done.auto": "replaced once fitted, else left", "job.note": "Note", "job.untitled": "unmarked unit", "job.of": "of",
	"job.own": "Your records of this board", "job.own.unit": "Your mark", "job.own.failed": "Failed", "job.hours": "hours", "job.minutes": "minutes",
	"outcome.job.working": "working", "outcome.job.partly": "partly working", "outcome.job.not-working": "not working", "outcome.job.not-tested": "not tested",
	"found.good": "good", "found.open": "open", "found.shorted": "shorted", "found.leaking": "leaking", "found.bulged": "bulged", "found.drifted": "drifted", "found.cracked": "cracked",
	"found.corroded": "corroded", "found.burnt": "burnt", "found.missing": "missing", "found.differs": "differs", "done.job.left": "left", "done.job.replaced": "replaced", "done.job.cleaned": "cleaned", "done.job.repaired": "repaired",
	"reads.capacitance": "Capacitance", "reads.esr": "ESR", "reads.resistance": "Resistance", "reads.voltage": "Voltage",
}

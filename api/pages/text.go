package pages

import "boardlore/domain/message"

// titled is a page's title with the name of what it is about.
func titled(m message.Message, name any) message.Message { return message.Of("text.titled", m, name) }

// t is the sentence of a page's key, with the values for its blanks. Templates
// put it into the reader's words.
func t(key string, values ...any) message.Message { return message.Of("page."+key, values...) }

package live

// silence makes of a source that is open and says nothing one that is not up: a connection may be dead and look
// alive, and a meter that is off delivers nothing.
func (s *Source) silence() {
	if !s.Up {
		return
	}
	s.Up, s.Silent, s.State = false, true, "no line comes, though it is open"
	if last := s.LastLineAt; last != nil && (s.Since == nil || last.After(*s.Since)) {
		s.Since = last
	}
}

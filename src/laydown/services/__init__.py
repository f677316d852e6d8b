"""Use cases: one public function for each thing a user can ask; web, command line and library all call these."""

"""Questions as they may be asked and answers as they are given, in marshmallow."""

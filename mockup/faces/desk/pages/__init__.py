"""One page of the desk a module; each is called by the navigation and draws itself."""

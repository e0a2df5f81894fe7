"""One page of the desk a module, which the navigation runs as a script.

The folder is not called pages: Streamlit would take it for its own.
"""

"""The script that Streamlit runs anew for every change. Only as such: never when imported."""

if __name__ == "__main__":
    from mockup.faces.desk.frame import show_desk

    show_desk()

"""How fast does dry food take up water?"""

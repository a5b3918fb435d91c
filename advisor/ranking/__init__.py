"""ranking"""
